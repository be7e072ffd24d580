package array

// What a unit weighs: bytes of uploads, and what goes with each file whatever its size, as
// bytes that could be worked on in the time. Measured on visits' logs of 30 to 400 lines.
const (
	readFile    = 8 << 10  // to look at an upload and to read it
	analyseFile = 40 << 10 // to join it and to work out what it says of its system
)

// read is what the uploads weigh in ingest. Files with the same bytes are one upload.
func read(uploads []Upload) map[string]int64 {
	weights := map[string]int64{}
	for _, u := range uploads {
		weights[u.ID] = u.Size + readFile
	}
	return weights
}

// analysed is what systems weigh in analyse. An upload of several systems counts for each
// with its share.
func analysed(uploads []Upload) map[string]int64 {
	weights := map[string]int64{}
	for _, u := range uploads {
		for _, id := range u.Systems {
			weights[id] += (u.Size + analyseFile) / int64(len(u.Systems))
		}
	}
	return weights
}

// drawn is what pages weigh in report: those of a system, and those of all systems together,
// which take as long as a fifth of all others.
func drawn(systems map[string]int64) map[string]int64 {
	weights, sum := map[string]int64{}, int64(0)
	for id, weight := range systems {
		weights[id] = weight
		sum += weight
	}
	weights[Fleet] = sum / 5
	return weights
}
