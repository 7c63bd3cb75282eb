package casefile

import (
	_ "embed" // for the example file
)

//go:embed example.toml
var example string

// Example returns a short case to start from, with a comment on every habit of
// the file. The place, the plants and their names are invented.
func Example() string { return example }
