package analysis

// goldenRows holds a hash of the rows of each step, on amd64.
var goldenRows = map[string]string{
	"windows/2": "d6df17db71e0f906",
	"visits/2":  "464e842fee274952",
	"judge/4":   "93462c1c61a62f1e",
	"rank/5":    "ea3c815b1a2830af",
}
