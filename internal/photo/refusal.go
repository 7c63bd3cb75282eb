package photo

import "fmt"

// Cause is why a picture was refused.
type Cause uint8

const (
	// NotAPicture is a file of another sort, or none.
	NotAPicture Cause = iota + 1
	// WrongKind is a picture of a kind that cannot be opened here.
	WrongKind
	// TooLarge exceeds one of the limits.
	TooLarge
	// Damaged cannot be opened although its beginning is right.
	Damaged
)

// Refusal is a picture that was not accepted. Text tells the grower, in whole
// sentences, what is wrong and what to do.
type Refusal struct {
	Cause Cause
	Text  string
	Err   error // what the decoder said, or nil
}

// Error returns the text, with what the decoder said.
func (r *Refusal) Error() string {
	if r.Err != nil {
		return fmt.Sprintf("%s (%v)", r.Text, r.Err)
	}
	return r.Text
}

// Unwrap returns what the decoder said.
func (r *Refusal) Unwrap() error { return r.Err }

func refuse(cause Cause, format string, args ...any) *Refusal {
	return &Refusal{Cause: cause, Text: fmt.Sprintf(format, args...)}
}

// damaged refuses a file that cannot be taken apart or opened.
func damaged(err error) *Refusal {
	return &Refusal{Cause: Damaged, Text: "The picture is damaged or did not arrive whole. Send it again.", Err: err}
}
