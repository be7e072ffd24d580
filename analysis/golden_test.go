package analysis

// goldenRows holds a hash of the rows of each step, on amd64.
var goldenRows = map[string]string{
	"windows/3": "d6df17db71e0f906",
	"visits/3":  "1c8fd1df0de0ba12",
	"meter/1":   "988984326d344336",
	"energy/1":  "9ea1176e9296def2",
	"judge/4":   "93462c1c61a62f1e",
	"rank/5":    "ea3c815b1a2830af",
	"records/1": "01f5d2e979063998437848f0b39714e4898e0e269bed9887311b5acbf69cf5ec",
}
