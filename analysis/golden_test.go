package analysis

// goldenRows holds a hash of the rows of each step, on amd64.
var goldenRows = map[string]string{
	"windows/2": "d6df17db71e0f906",
	"visits/2":  "464e842fee274952",
	"judge/2":   "33f8189de338c8e9",
	"rank/2":    "4799d273769c8f23",
}
