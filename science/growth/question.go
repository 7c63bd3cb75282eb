package growth

// QuestionKind is why a reading was set aside.
type QuestionKind uint8

const (
	// Shorter than an earlier reading by more than the errors explain. A root
	// cannot shrink.
	Shorter QuestionKind = iota + 1
	// TooLong for the fastest root of its group.
	TooLong
	// Disagrees with the other readings of its day.
	Disagrees
	// GrewAtRest is longer, although the tip was recorded as capped or lost and
	// no new tip was recorded since.
	GrewAtRest
)

// String returns the words shown to the grower.
func (k QuestionKind) String() string {
	switch k {
	case Shorter:
		return "shorter than before"
	case TooLong:
		return "longer than a root can grow in the time"
	case Disagrees:
		return "readings of one day disagree"
	case GrewAtRest:
		return "longer, though no growing tip is recorded"
	}
	return "no question"
}

// Cause is what may lie behind a questioned reading.
type Cause uint8

const (
	TipLost Cause = iota + 1
	OtherRoot
	TypingMistake
	NewTip
)

// String returns the words shown to the grower.
func (c Cause) String() string {
	switch c {
	case TipLost:
		return "the tip was lost"
	case OtherRoot:
		return "another root was measured"
	case TypingMistake:
		return "a typing mistake, in this reading or the one it contradicts"
	case NewTip:
		return "a new tip has come"
	}
	return "no cause"
}

// Causes returns what the grower should be asked about.
func (k QuestionKind) Causes() []Cause {
	switch k {
	case Shorter:
		return []Cause{TipLost, OtherRoot, TypingMistake}
	case TooLong, Disagrees:
		return []Cause{OtherRoot, TypingMistake}
	case GrewAtRest:
		return []Cause{NewTip, OtherRoot, TypingMistake}
	}
	return nil
}

// Question is a reading that was set aside until the grower has looked again:
// recorded what became of the tip, struck out the wrong reading, or confirmed
// this one.
type Question struct {
	Kind    QuestionKind
	Reading Reading
	// AgainstDay and AgainstMM are the reading or the length it contradicts.
	AgainstDay float64
	AgainstMM  float64
	// LimitMM is how far from AgainstMM it could have lain without a question.
	LimitMM float64
}
