// Package growth weighs the evidence that roots are still growing.
//
// After a repot almost every sign misleads except one: marked roots that get
// longer. The chapter goes from one reading to a verdict in five steps.
// Readings of a day are made one, with the error of the way they were taken
// (reading.go, day.go, photograph.go). Readings that no living root can give,
// shorter than before or far too long, are handed back as questions and never
// averaged in (question.go). What is left is filtered by a local linear trend,
// whose state is the length and the rate of one root (trend.go, filter.go).
// The rates of a plant's roots are pooled (pool.go). The verdict compares the
// pooled rates with the rate below which a root counts as standing still
// (verdict.go), and says when the next reading is worth taking (next.go).
//
// It follows A. C. Harvey, "Forecasting, Structural Time Series Models and the
// Kalman Filter" (Cambridge University Press, 1989), for the trend in
// continuous time and its filter (sections 3.2 and 9.2); J. Durbin and S. J.
// Koopman, "Time Series Analysis by State Space Methods" (Oxford University
// Press, 2nd edition 2012), for the diffuse start, the likelihood and the
// smoother (chapters 4, 5 and 7); R. DerSimonian and N. Laird, Controlled
// Clinical Trials 7:177–188 (1986), for pooling; and R. O. Gilbert,
// "Statistical Methods for Environmental Pollution Monitoring" (Van Nostrand
// Reinhold, 1987), chapters 16 and 17, for the rank-based companions. The
// chapter and section numbers are from memory.
//
// Valid range: lengths of 0 to 5000 mm, reading errors of 0.01 to 100 mm. Days
// are counted from midnight of any fixed day, so that the whole part of a Day
// is the calendar day. The trend and the filter are indifferent to the unit of
// length, as long as it is the same everywhere.
//
// Not modelled: that a rate cannot be negative (a root at rest may show a rate
// slightly below zero, which means no growth); the sudden stop of a root, which
// the trend follows with a lag of one to three weekly readings; the influence
// of temperature, light and season on the rate; thickness, branching and the
// length of the green tip; turgor and leaves, which other evidence covers.
package growth
