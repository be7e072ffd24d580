package mixture

// pairTerm is one off-diagonal part of a reducing function:
// scale*x_i*x_j*(x_i+x_j)/(b2*x_i+x_j).
type pairTerm struct{ scale, b2 float64 }

// reduced is a reducing function Y(x) with its derivatives in concentrations,
// made dimensionless by the total density: rho*dY/dc_i and rho^2*d2Y/dc_i/dc_j.
type reduced struct {
	y    float64
	grad []float64
	hess []float64 // n*n
}

func newReduced(n int) reduced {
	return reduced{grad: make([]float64, n), hess: make([]float64, n*n)}
}

// reduce fills r for Y = sum x_i^2*Y_i + sum of pair terms. In concentrations
// Y = Q(c)/rho^2 with Q homogeneous of degree 2, which gives the shifts at the
// end.
func (r *reduced) reduce(x []float64, diag func(int) float64, pairs [][]pairTerm) {
	n := len(x)
	var q float64
	clear(r.grad)
	clear(r.hess)
	for i := range n {
		d := diag(i)
		q += d * x[i] * x[i]
		r.grad[i] += 2 * d * x[i]
		r.hess[i*n+i] += 2 * d
		for k, p := range pairs[i] {
			q += r.addPair(x, i, i+1+k, p)
		}
	}
	r.y = q
	for i := range n {
		for j := range n {
			r.hess[i*n+j] += 6*q - 2*(r.grad[i]+r.grad[j])
		}
	}
	for i := range n {
		r.grad[i] -= 2 * q
	}
}

// addPair adds scale*u with u = a*b*(a+b)/s, s = b2*a+b, and its derivatives.
func (r *reduced) addPair(x []float64, i, j int, p pairTerm) float64 {
	n := len(x)
	a, b := x[i], x[j]
	s := p.b2*a + b
	if s == 0 {
		return 0
	}
	num := a * b * (a + b)
	na, nb := b*(2*a+b), a*(a+2*b)
	u := num / s
	ua := (na - u*p.b2) / s
	ub := (nb - u) / s
	r.grad[i] += p.scale * ua
	r.grad[j] += p.scale * ub
	r.hess[i*n+i] += p.scale * (2*b - 2*ua*p.b2) / s
	r.hess[j*n+j] += p.scale * (2*a - 2*ub) / s
	cross := p.scale * (2*(a+b) - ua - ub*p.b2) / s
	r.hess[i*n+j] += cross
	r.hess[j*n+i] += cross
	return p.scale * u
}
