package chart

import "rimelog/analysis/say"

// crowded is from how many readings on the seasons stand beside each other, on the same
// axes, instead of upon each other.
const crowded = 40

// A panel is one of the small charts that a figure is made of.
type panel struct {
	name     string // what its readings have in common; empty for a figure of one panel
	readings []Reading
}

// panels are the seasons that have readings, in the order of the year; one panel of all
// readings where those do not crowd.
func (c Course) panels() (out []panel) {
	var all []Reading
	var seasons [len(quarters)][]Reading
	for _, r := range c.Readings {
		if c.plain(r) {
			all = append(all, r)
			seasons[c.quarter(r)] = append(seasons[c.quarter(r)], r)
		}
	}
	if len(all) <= crowded {
		return []panel{{"", all}}
	}
	for i, readings := range seasons {
		if len(readings) > 0 {
			out = append(out, panel{c.Say.Text(quarters[i].text), readings})
		}
	}
	return out
}

// place is where the i-th of so many panels stands: two beside each other, the rest below.
func place(i, of int) raw {
	at := raw{"left": "46", "right": "18", "top": "34", "bottom": "52"}
	if of > 1 && i%2 == 0 {
		at["right"] = "53%"
	}
	if i%2 == 1 {
		at["left"] = "54%"
	}
	if of > 2 && i < 2 {
		at["bottom"] = "58%"
	}
	if i >= 2 {
		at["top"] = "54%"
	}
	return at
}

// panelAxes are the axes of the panels, all alike; the one below names the quantity, each
// its own readings.
func (c Course) panelAxes(panels []panel, x, y extent) raw {
	lo, hi, step := y.round()
	left, right, _ := x.round()
	var grids, across, up []any
	for i, p := range panels {
		grids = append(grids, place(i, len(panels)))
		name := say.Capital(c.Medium.Quantity()) + ", " + c.Say.Unit(say.Temperature)
		if i+2 < len(panels) {
			name = ""
		}
		across = append(across, raw{"gridIndex": i, "type": "value", "min": num(left), "max": num(right), "name": name,
			"nameLocation": "middle", "nameGap": 30, "axisLine": raw{"onZero": false}})
		up = append(up, raw{"gridIndex": i, "type": "value", "min": num(lo), "max": num(hi), "interval": num(step), "name": p.name + ", " + c.Unit,
			"nameLocation": "end", "nameTextStyle": raw{"align": "left", "padding": []any{0, 0, 4, -36}}, "axisLine": raw{"onZero": false}})
	}
	return raw{"grid": grids, "xAxis": across, "yAxis": up}
}

// within puts a series onto the axes of the i-th panel.
func within(i int) raw {
	if i == 0 {
		return nil
	}
	return raw{"xAxisIndex": i, "yAxisIndex": i}
}
