package analysis

// goldenRows holds a hash of the rows of each step, on amd64.
var goldenRows = map[string]string{
	"windows/17": "240cea649e4d2c4e6e96b52172dcc016",
	"visits/18":  "c740d83fba4651c5",
	"records/1":  "01f5d2e979063998437848f0b39714e4526343044520f676311b5acbf69cf5ec",
	"meter/9":    "7050fa91205f66ab",
	"energy/9":   "3caab6a7a3cccb60",
	"judge/15":   "f5828385619708888a365318a7fd5f0a",
	"rank/22":    "c12cd292624155dfe3b0c44298fc1c14d30ba01359cf42ed",
	"compare/2":  "5815fdacdddc9bdc",
}
