package chart

import (
	"encoding/json"
	"maps"
)

// Theme is how the chart engine draws what the options leave open, as JSON: in the
// colours and the type of the page's style, which differ between light and dark.
func Theme() ([]byte, error) {
	line := raw{"lineStyle": raw{"color": css("rule")}}
	none := raw{"lineStyle": raw{"opacity": 0}, "areaStyle": raw{"opacity": 0}}
	small := raw{"color": css("ink-2"), "fontSize": 12}
	axis := raw{
		"axisLine": raw{"show": true, "lineStyle": raw{"color": css("rule-2")}}, "axisTick": line,
		"splitLine": raw{"show": true, "lineStyle": raw{"color": css("rule")}},
		"axisLabel": small, "nameTextStyle": small,
	}
	names := maps.Clone(axis)
	names["splitLine"] = raw{"show": false}
	return json.Marshal(raw{
		"textStyle": raw{"fontFamily": css("font"), "color": css("ink")},
		"timeAxis":  axis, "valueAxis": axis, "logAxis": axis, "categoryAxis": names,
		"tooltip": raw{
			"backgroundColor": css("surface"), "borderColor": css("rule-2"), "borderWidth": 1,
			"textStyle": raw{"color": css("ink"), "fontSize": 13}, "axisPointer": raw{"lineStyle": raw{"color": css("ink-2")}},
		},
		"dataZoom": raw{
			"showDetail": false, "brushSelect": false, "borderColor": "transparent", "backgroundColor": css("track"),
			"fillerColor": css("measure-band"), "dataBackground": none, "selectedDataBackground": none,
			"handleStyle": raw{"color": css("surface"), "borderColor": css("measure")}, "moveHandleSize": 0,
		},
	})
}
