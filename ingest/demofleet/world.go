package demofleet

// The setting: the Ostrel Isles, an archipelago nobody will find on a map, and
// the firm that looks after its machines. Names are made up; a likeness to any
// place or firm is chance.

// A site is a place with systems.
type site struct {
	code, name string
	climate    int // in climates
	altitude   float64
}

var sites = []site{
	{"TND", "Tindrow fish market", 0, 5},
	{"QUB", "Quillby bakery", 0, 40},
	{"BRS", "Braskow creamery", 1, 620},
	{"OSL", "Oslenfold infirmary", 1, 480},
	{"MRV", "Mirrovane library", 2, 15},
	{"FNW", "Fennowick guesthouse", 2, 90},
	{"KDL", "Kadlow school", 1, 710},
	{"HRP", "Harpelune ferry house", 0, 3},
	{"VSK", "Vaskerrin cheese cellar", 1, 850},
	{"ULD", "Uldermoss nursery", 2, 130},
	{"PLM", "Pelmarrow town hall", 0, 25},
	{"GNT", "Gantrell boatyard canteen", 2, 8},
}

// areas are what one trip can reach, by climate: the ferry does not go every day.
var areas = [...]string{"Outer isles", "High fells", "South sound"}

// company is the service firm of the isles.
const company = "Ostrel Isles Cold Works"
