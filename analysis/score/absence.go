package score

import (
	"encoding/json"
	"slices"
	"strings"
)

// Why figures may be absent, by the key they stand under. Objects with an n are
// named as a whole.
var because = map[string]string{
	"n":                                 "there is no such case: n is 0",
	"false_alarms_per_100_system_years": "nothing was watched",
	"false_alarms_per_100_healthy_system_years": "nothing was watched without a loss",
	"roc_area":       "needs systems that slowly lost 5 % and systems that never lost 2 %",
	"coverage":       "no finding about a slow loss gives this with its interval",
	"relative_width": "no finding about a slow loss gives this with its interval",
	"brier":          "no finding gives the probability of its cause",
	"data_errors":    "no upload was looked at",
	"bias_k":         "no window lies in an unspoilt log",
	"saving_width":   "no event that put a fault right has a saving with its interval",
	"saving_alike":   "no event that put a fault right has a saving with its interval",
	"bound_alike":    "no event that put a fault right has a saving with its interval",
	"saving_bound":   "no event that put a fault right has a saving with its interval",
	"width_ratio":    "no visit that is used for trends lies in an unspoilt log",
}

// suddenFalse is why there is no rate of false alarms of sudden leaks.
const suddenFalse = "a leak alarm that is false counts among those of slow losses"

// absences lists every figure that is null in JSON, by its path, with the reason.
func absences(s Score) (map[string]string, error) {
	s.NullBecause = map[string]string{}
	text, err := json.Marshal(s)
	if err != nil {
		return nil, err
	}
	var tree any
	if err := json.Unmarshal(text, &tree); err != nil {
		return nil, err
	}
	out := map[string]string{}
	explain(tree, nil, out)
	return out, nil
}

func explain(node any, path []string, out map[string]string) {
	object, ok := node.(map[string]any)
	if !ok {
		if node == nil {
			out[strings.Join(path, ".")] = because[path[len(path)-1]]
		}
		return
	}
	if reason := lacking(object, path); reason != "" {
		out[strings.Join(path, ".")] = reason
		return
	}
	for key, child := range object {
		explain(child, append(slices.Clone(path), key), out)
	}
}

// lacking is why a share, a rate or a spread has no figures; empty where it has, and
// for what is none of these.
func lacking(object map[string]any, path []string) string {
	if _, counted := object["n"]; !counted {
		return ""
	}
	for _, key := range []string{"share", "rate", "median"} {
		if v, ok := object[key]; ok && v == nil {
			switch {
			case key != "rate":
				return because["n"]
			case slices.Contains(path, suddenLeak):
				return suddenFalse
			}
			return because[path[len(path)-1]]
		}
	}
	return ""
}
