package culture

import (
	"slices"
)

// Situation says where a caution belongs.
type Situation string

const (
	HandlingMoss      Situation = "moss"
	PottingDust       Situation = "potting dust"
	CuttingPlants     Situation = "cutting"
	UsingBleach       Situation = "bleach"
	UsingLye          Situation = "lye"
	UsingFlame        Situation = "flame"
	MixingAcid        Situation = "acid"
	StoringFeed       Situation = "feed salts"
	UsingPesticide    Situation = "pesticide"
	ElectricityNearby Situation = "electricity"
	LiftingPots       Situation = "lifting"
	PureWater         Situation = "pure water"
)

// Situations returns all situations, in the order of a day's work.
func Situations() []Situation {
	return []Situation{HandlingMoss, PottingDust, CuttingPlants, UsingBleach, UsingLye, UsingFlame, MixingAcid,
		StoringFeed, UsingPesticide, ElectricityNearby, LiftingPots, PureWater}
}

// Caution is a short safety text to show where the hazard is met.
type Caution struct {
	Situation Situation    `json:"situation"`
	Text      Fact[string] `json:"text"`
}

// CourseStage is a part of a recovery.
type CourseStage string

const (
	Settling    CourseStage = "settling"    // days 0 to 13
	Rooting     CourseStage = "rooting"     // from day 14
	SteppingUp  CourseStage = "stepping up" // from day 42, each step earned
	Established CourseStage = "established"
)

// CourseStages returns the stages in their order.
func CourseStages() []CourseStage {
	return []CourseStage{Settling, Rooting, SteppingUp, Established}
}

// Meaning says what a sign calls for.
type Meaning string

const (
	NormalSign Meaning = "normal" // nothing to do
	WatchSign  Meaning = "watch"  // look again soon, change little
	ActSign    Meaning = "act"    // not normal at this stage
)

// Sign is something a grower may see at a stage, and what it means then.
type Sign struct {
	Stage   CourseStage  `json:"stage"`
	Meaning Meaning      `json:"meaning"`
	Text    Fact[string] `json:"text"`

	// Which plants can show it; an empty list means all.
	habits []Habit
	leaves []LeafClass
	stores []StorageOrgan
}

// appliesTo reports whether plants of the group can show the sign at all.
func (s Sign) appliesTo(g Group) bool {
	return (len(s.habits) == 0 || slices.Contains(s.habits, g.Habit.Is)) &&
		(len(s.leaves) == 0 || slices.Contains(s.leaves, g.Leaf.Is)) &&
		(len(s.stores) == 0 || slices.Contains(s.stores, g.Storage.Is))
}

func readCautions(rows []row, sources citations) []Caution {
	var cautions []Caution
	for _, r := range rows {
		situation, ok := choose(r.cells["situation"], Situations()...)
		if !ok {
			r.complain("situation", oneOf(Situations()...))
		}
		grade, source := r.basis(sources, "grade", "source")
		cautions = append(cautions, Caution{situation, Fact[string]{r.text("text"), grade, source}})
	}
	return cautions
}

func readSigns(rows []row, sources citations) []Sign {
	var signs []Sign
	for _, r := range rows {
		meaning, ok := choose(r.cells["meaning"], NormalSign, WatchSign, ActSign)
		if !ok {
			r.complain("meaning", oneOf(NormalSign, WatchSign, ActSign))
		}
		habits := several(r, "habits", Monopodial, Sympodial, Terrestrial)
		leaves := several(r, "leaves", ThickLeaf, LeatheryLeaf, ThinLeaf, Leafless)
		stores := several(r, "stores", NoStorage, PseudobulbStore, ThickLeafStore, CaneStore, TuberStore)
		grade, source := r.basis(sources, "grade", "source")
		// A sign that means the same at several stages is written once.
		for _, stage := range several(r, "stages", CourseStages()...) {
			signs = append(signs, Sign{stage, meaning, Fact[string]{r.text("text"), grade, source}, habits, leaves, stores})
		}
	}
	return signs
}

// several returns the allowed words of a list.
func several[T ~string](r row, column string, allowed ...T) []T {
	var words []T
	for _, part := range r.list(column) {
		word, ok := choose(part, allowed...)
		if !ok {
			r.complain(column, oneOf(allowed...)+", separated by semicolons")
		}
		words = append(words, word)
	}
	return words
}
