package plan

import (
	"fmt"
	"slices"
)

// isQuality tells whether a column is titled as one that says how good values are.
func (p *Plan) isQuality(i int) bool {
	may, _ := p.titles[i].SaysQuality()
	return may
}

// findQuality gives each column of values the one behind it that says how good they are.
// One column of a status alone is the machine's.
func (p *Plan) findQuality() {
	var beside []*Column
	sure := false
	for _, c := range p.Columns {
		i := c.Index + 1
		if c.Kind != ChannelColumn && c.Kind != ExtraColumn || i >= len(p.titles) || p.isQuality(c.Index) || !p.isQuality(i) || slices.Contains(p.Time.Columns, i) {
			continue
		}
		_, surely := p.titles[i].SaysQuality()
		sure = sure || surely
		beside = append(beside, c)
	}
	if len(beside) < 2 && !sure {
		return
	}
	for _, c := range beside {
		c.Quality = c.Index + 1
		c.Why = append(c.Why, fmt.Sprintf("%q says how good its values are", p.ColumnName(c.Quality)))
	}
}
