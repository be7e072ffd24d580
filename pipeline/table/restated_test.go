package table

import (
	"reflect"
	"testing"
)

// What RestatedOf keeps of a visit, Over writes back, column by column.
func TestARestatedVisitIsAsItWasJudged(t *testing.T) {
	var judged Visit
	v := reflect.ValueOf(&judged).Elem()
	for i := range v.NumField() {
		if f := v.Field(i); f.Kind() == reflect.Float64 {
			f.SetFloat(float64(i + 1))
		}
	}
	judged.Use, judged.Reason = UseTrend, "as judged"
	r := RestatedOf(judged, "R134a")
	got := reflect.ValueOf(r.Over(Visit{}))
	kept := map[string]bool{}
	for i := range reflect.TypeFor[Restated]().NumField() {
		kept[reflect.TypeFor[Restated]().Field(i).Tag.Get("col")] = true
	}
	for i := range v.NumField() {
		f := v.Type().Field(i)
		if column := f.Tag.Get("col"); kept[column] && column != "start" && column != "part" {
			if !reflect.DeepEqual(got.Field(i).Interface(), v.Field(i).Interface()) {
				t.Errorf("%s: %v, want %v", column, got.Field(i), v.Field(i))
			}
		} else if !got.Field(i).IsZero() {
			t.Errorf("%s was changed", column)
		}
	}
	if !r.Is(judged) || r.Is(Visit{Part: AsLeft}) {
		t.Error("a visit is not known again by its start and part")
	}
}
