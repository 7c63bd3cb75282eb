package care

import "velamen/science/pot"

// Finished tells from the EC of successive cups of drainage, in mS/cm and in the
// order in which they were caught, whether a flush with the course's water may
// stop.
func (f Flush) Finished(drainageECmS []float64) (pot.Finish, error) {
	parameters := pot.Defaults()
	return parameters.FlushDone(f.DoneAt.Low, drainageECmS)
}
