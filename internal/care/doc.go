// Package care holds the domain in the grower's words: places and spaces,
// waters and feeds, plants and what was done to them, and from these the
// recovery course of every repotted, divided or mounted plant.
//
// Everything in it is a function of its arguments: the case, the culture
// tables, and the day asked about. A measured or stated quantity is a
// basis.Value, so a number can always say whether the grower gave it, the room
// was measured, or it was assumed; a quantity that was left out has no grade,
// and Complete fills it with a named default.
//
// The package knows nothing of files, databases or pages.
package care
