package analysis

// goldenRows holds a hash of the rows of each step, on amd64.
var goldenRows = map[string]string{
	"windows/7": "50931887d90d358e",
	"visits/8":  "99003234bdb32076",
	"records/1": "01f5d2e979063998437848f0b39714e4526343044520f676311b5acbf69cf5ec",
	"meter/3":   "223e280029cced9d",
	"energy/3":  "b4ad1579559322fb",
	"judge/5":   "c0c637d696dc5a630bef85853b7f8b5c",
	"rank/6":    "1bdb85f3565ece3c",
}
