package analysis

// goldenRows holds a hash of the rows of each step, on amd64.
var goldenRows = map[string]string{
	"windows/5": "8a4b7f41df02f613",
	"visits/5":  "47b4857cd0d4560c",
	"records/1": "01f5d2e979063998437848f0b39714e4898e0e269bed9887311b5acbf69cf5ec",
	"meter/3":   "223e280029cced9d",
	"energy/2":  "b4ad1579559322fb",
	"judge/4":   "89e0679dc39956dc",
	"rank/5":    "54a5fd6bff476695",
}
