package culture

import (
	"bytes"
	"strings"
	"testing"
)

// FuzzOwnRows feeds the reader of the grower's rows with anything. It works on
// groups read once, since reading all tables each time would leave the fuzzer
// little to do.
func FuzzOwnRows(f *testing.F) {
	found := &problems{}
	groups := readGroups(found)
	if err := found.err(); err != nil {
		f.Fatal(err)
	}
	groups = groups[:10]
	merge := func(rows string) ([]Group, error) {
		found := &problems{}
		merged := mergeOwn(cloneAll(groups, Group.clone), "own rows", strings.NewReader(rows), found)
		for i := range merged {
			merged[i].derive()
		}
		return merged, found.err()
	}
	var all bytes.Buffer
	if err := WriteGroups(&all, groups...); err != nil {
		f.Fatal(err)
	}
	lines := strings.SplitAfter(all.String(), "\n")
	f.Add(lines[0] + lines[1])
	f.Add("key,feed\nphalaenopsis,low\n")
	f.Add("key,light_fc,night_c\nphalaenopsis,1e3 to 2000,-5 to 14\n")
	f.Add(lines[0] + "mine,Mine,,sympodial,C3,900,warm,16,24,60,bark,3 or more,roots,1,none,low,no,pot,,,,,,,\n")
	f.Add("key,division,family\nphalaenopsis,3 to 5 pseudobulbs,near vanda\n")
	f.Add("key,photoinhibition_umol,repot_years\nphalaenopsis,+3.25e2,0.5 to 1\n")
	f.Add("\ufeffkey\r\n\"a\"\"b\"\r\n")
	f.Fuzz(func(t *testing.T, rows string) {
		merged, err := merge(rows)
		if err != nil {
			if err.Error() == "" {
				t.Fatal("an error without a word")
			}
			return
		}
		for _, g := range merged {
			for _, band := range []Band{g.LightFC, g.NightC, g.DayC, g.RHPercent} {
				if err := band.Value().Check(); err != nil {
					t.Fatalf("%s: %v", g.Key, err)
				}
			}
			if err := g.Derived.LightFloorFC.Check(); err != nil {
				t.Fatalf("%s: %v", g.Key, err)
			}
		}
		// What is accepted must read back, and be written the same again.
		var first, second bytes.Buffer
		if err := WriteGroups(&first, merged...); err != nil {
			t.Fatal(err)
		}
		again, err := merge(first.String())
		if err != nil {
			t.Fatalf("what was accepted is refused when read back: %v", err)
		}
		if err := WriteGroups(&second, again...); err != nil {
			t.Fatal(err)
		}
		if first.String() != second.String() {
			t.Fatalf("written\n%s\nand again\n%s", first.String(), second.String())
		}
	})
}
