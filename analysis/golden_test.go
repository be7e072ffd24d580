package analysis

// goldenRows holds a hash of the rows of each step, on amd64.
var goldenRows = map[string]string{
	"windows/31": "d7008cb3d2c6c3cc6e96b52172dcc016",
	"visits/36":  "d93a7c77e7aab0cc",
	"records/1":  "01f5d2e979063998437848f0b39714e4526343044520f676311b5acbf69cf5ec",
	"meter/18":   "a511911347bd2f04",
	"energy/26":  "e6bfd80415522e32",
	"judge/57":   "c7814d809ddc5abd28b079286ec7668d",
	"rank/72":    "47f0f6057b18ce0fe3b0c44298fc1c143fce2f34011f2e9b",
	"compare/3":  "9ea8c83f60465f91",
}
