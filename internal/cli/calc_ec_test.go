package cli

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func rowOf(answer map[string]any, section, list string, i int) map[string]any {
	return answer[section].(map[string]any)[list].([]any)[i].(map[string]any)
}

// Whatever two waters are mixed, the mix is what was asked for, and its ions are
// those of its parts.
func TestBlendsMeetTheirTarget(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		number := func(name string, low, high float64) string {
			return fmt.Sprint(rapid.Float64Range(low, high).Draw(t, name))
		}
		quantity := rapid.SampledFrom([]struct{ flag, key string }{
			{"--target-ec-ms", "ec_ms_per_cm"}, {"--target-alkalinity-mg-l", "alkalinity_mg_per_l_caco3"}, {"--target-hardness-mg-l", "hardness_mg_per_l_caco3"},
		}).Draw(t, "quantity")
		waters := []string{"blend", "--a-calcium-mg-l", number("Ca", 20, 150), "--a-bicarbonate-mg-l", number("HCO3", 50, 400), "--a-sulphate-mg-l", number("SO4", 0, 200),
			"--b-sodium-mg-l", number("Na", 0.1, 5), "--b-chloride-mg-l", number("Cl", 0.1, 8)}
		// Any mix of the two tells what A is like.
		first := calculate(t, append(waters, "--target-alkalinity-mg-l", "10")...)
		a := rowOf(first, "figures", "waters", 0)[quantity.key].(float64)
		b := rowOf(first, "figures", "waters", 1)[quantity.key].(float64)
		target := b + (a-b)*rapid.Float64Range(0.05, 0.95).Draw(t, "between")
		answer := calculate(t, append(waters, quantity.flag, fmt.Sprint(target))...)
		mix := rowOf(answer, "figures", "waters", 2)[quantity.key].(float64)
		// The share is bisected to 2⁻⁶⁰; what is left is rounding.
		if math.Abs(mix-target) > 1e-9*(1+target) {
			t.Fatalf("%s %v gives %v", quantity.flag, target, mix)
		}
		blend := answer["blend"].(map[string]any)
		share := blend["share_a"].(float64)
		if litre := blend["a_ml_per_l"].(float64) + blend["b_ml_per_l"].(float64); math.Abs(litre-1000) > 1e-9 {
			t.Fatalf("the parts add up to %v mL", litre)
		}
		for i := range answer["ions"].(map[string]any)["ions"].([]any) {
			r := rowOf(answer, "ions", "ions", i)
			in := share*r["a_mg_per_l"].(float64) + (1-share)*r["b_mg_per_l"].(float64)
			if out := r["mix_mg_per_l"].(float64); math.Abs(in-out) > 1e-9*(1+in) {
				t.Fatalf("%v: %v mg/L in, %v in the mix", r["ion"], in, out)
			}
		}
		// Dilution frees the ions, so a straight line never asks for less of the
		// saltier water.
		if straight := blend["straight_share_a"].(float64); straight < share-1e-9 {
			t.Fatalf("share %v, straight line %v", share, straight)
		}
	})
}

// A strength by nitrogen or by EC is the strength in grams that gives it.
func TestStrengthsOfAFeedAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		feed := []string{"ec", "--label", rapid.SampledFrom([]string{"13-3-15", "20-20-20", "30-10-10"}).Draw(t, "label"),
			"--water-ec-ms", "0.4", "--hardness-mg-l", "120", "--alkalinity-mg-l", "100"}
		ppm := rapid.Float64Range(10, 200).Draw(t, "ppm N")
		byN := calculate(t, append(feed, "--ppm-n", fmt.Sprint(ppm))...)["solution"].(map[string]any)
		again := calculate(t, append(feed, "--target-ec-ms", fmt.Sprint(byN["ec_ms_per_cm"]))...)
		byEC := again["solution"].(map[string]any)
		grams, back := byN["grams_per_l"].(float64), byEC["grams_per_l"].(float64)
		if math.Abs(grams-back) > 1e-9*grams {
			t.Fatalf("%v g/L by nitrogen, %v by its EC", grams, back)
		}
		if n := rowOf(again, "nutrients", "elements", 0)["from_feed_mg_per_l"].(float64); math.Abs(n-ppm) > 1e-6 {
			t.Fatalf("%v ppm N asked for, %v in the feed", ppm, n)
		}
	})
}
