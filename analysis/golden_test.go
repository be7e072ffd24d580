package analysis

// goldenRows holds a hash of the rows of each step, on amd64.
var goldenRows = map[string]string{
	"windows/1": "d6df17db71e0f906",
	"visits/1":  "ef422ca8c6621e63",
	"judge/1":   "67883853a0a73145",
	"rank/1":    "932844b6e4ceb29a",
}
