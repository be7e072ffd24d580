# A stand-in for bcryptprimitives.dll, which Windows has and older releases of wine have
# not: Go's runtime asks its ProcessPrng for random bytes to seed hash tables with. For tests
# only; the bytes are stirred from the cycle counter.
	.globl ProcessPrng
ProcessPrng:			# (buffer in rcx, length in rdx) -> 1
	mov %rdx, %r8
	test %r8, %r8
	jz 2f
1:	rdtsc
	imul $0x9E3779B1, %eax, %eax
	shr $24, %eax
	movb %al, (%rcx)
	inc %rcx
	dec %r8
	jnz 1b
2:	mov $1, %eax
	ret
	.globl DllMain
DllMain:
	mov $1, %eax
	ret
