package analysis

// goldenBytes holds the first 16 digits of SHA-256 by step and table, on amd64;
// of the months of a system the last one's.
var goldenBytes = map[string]string{
	"windows/1 windows": "b44953e27c0ddb13",
	"visits/1 visits":   "2ab4a819db3c385e",
	"judge/1 trends":    "7979f6d51597de82",
	"rank/1 findings":   "4473cf4993251500",
	"rank/1 quality":    "ea5989a751ab4242",
	"rank/1 uploads":    "3623f19cb608f4e9",
}
