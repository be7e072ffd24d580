package analysis

// goldenRows holds a hash of the rows of each step, on amd64.
var goldenRows = map[string]string{
	"windows/5": "ea82671b552e2b1f",
	"visits/5":  "d13de0a4d59a5086",
	"records/1": "01f5d2e979063998437848f0b39714e4898e0e269bed9887311b5acbf69cf5ec",
	"meter/1":   "988984326d344336",
	"energy/1":  "a0b57abb7ce37105",
	"judge/4":   "74d5e114d220a9cf",
	"rank/5":    "c557ccc1f0212e21",
}
