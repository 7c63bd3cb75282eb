package light

// Site is a place on earth.
type Site struct {
	LatDeg     float64 // −90 to 90, north positive
	LonDeg     float64 // −180 to 180, east positive
	ElevationM float64 // −430 to 6000 above sea level
}

// Check reports a site that is not on earth.
func (s Site) Check() error {
	if err := checkLatitude(s.LatDeg); err != nil {
		return err
	}
	if err := within("longitude", s.LonDeg, -180, 180, "°"); err != nil {
		return err
	}
	return checkElevation(s.ElevationM)
}
