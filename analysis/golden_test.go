package analysis

// goldenRows holds a hash of the rows of each step, on amd64.
var goldenRows = map[string]string{
	"windows/22": "eaae79969466c6016e96b52172dcc016",
	"visits/23":  "8f3f08a30b681d40",
	"records/1":  "01f5d2e979063998437848f0b39714e4526343044520f676311b5acbf69cf5ec",
	"meter/12":   "c29457e57df7f68b",
	"energy/14":  "cb58aa2040f5d5db",
	"judge/21":   "6030137a847e6a988512ae63ce0ab9ee",
	"rank/29":    "b4739b51219b581ae3b0c44298fc1c14d30ba01359cf42ed",
	"compare/2":  "488bc0c5af310f04",
}
