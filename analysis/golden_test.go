package analysis

// goldenRows holds a hash of the rows of each step, on amd64.
var goldenRows = map[string]string{
	"windows/26": "a9bff4d2224cf80c6e96b52172dcc016",
	"visits/29":  "56437803173a5c5e",
	"records/1":  "01f5d2e979063998437848f0b39714e4526343044520f676311b5acbf69cf5ec",
	"meter/14":   "a511911347bd2f04",
	"energy/15":  "2b632882765695d6",
	"judge/28":   "6030137a847e6a98d0378f011e45a8e1",
	"rank/37":    "b05addac73443fc1e3b0c44298fc1c14d30ba01359cf42ed",
	"compare/2":  "129ae5aca2008cee",
}
