package leaf

import (
	"testing"

	"velamen/science/basis"
)

func TestParametersAreSound(t *testing.T) {
	values := map[string]basis.Value{
		"emissivity": emissivity, "dimension share": dimensionShare, "still speed": stillSpeed,
		"half opening": halfOpening, "half closure": halfClosure, "halving deficit": halvingVPD,
		"reference deficit": referenceVPD, "late hours": lateHours, "loss borne": lossBorne,
	}
	for c := range classCount {
		row, err := Conductances(c)
		if err != nil || row.Name == "" {
			t.Fatalf("class %d: %+v, %v", c, row, err)
		}
		values[row.Name+" open"], values[row.Name+" closed"], values[row.Name+" late"] = row.OpenMmol, row.ClosedMmol, row.LateAfternoonMmol
	}
	for o := range organCount {
		row, err := Stores(o)
		if err != nil || row.Name == "" {
			t.Fatalf("organ %d: %+v, %v", o, row, err)
		}
		values[row.Name+" thickness"], values[row.Name+" water"], values[row.Name+" leak"] = row.ThicknessMM, row.WaterShare, row.MinimumMmol
	}
	for name, v := range values {
		if err := v.Check(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := Conductances(classCount); err == nil {
		t.Error("a class too many")
	}
	if _, err := Stores(organCount); err == nil {
		t.Error("an organ too many")
	}
}
