package analysis

// goldenRows holds a hash of the rows of each step, on amd64.
var goldenRows = map[string]string{
	"windows/6": "50931887d90d358e",
	"visits/6":  "99003234bdb32076",
	"records/1": "01f5d2e979063998437848f0b39714e4898e0e269bed9887311b5acbf69cf5ec",
	"meter/3":   "223e280029cced9d",
	"energy/2":  "b4ad1579559322fb",
	"judge/5":   "c0c637d696dc5a63",
	"rank/6":    "97fdb8eea0965d31",
}
