package pot

import (
	"errors"
	"fmt"
	"math"
)

// ErrBalance says that water or salt appeared or vanished in a run.
var ErrBalance = errors.New("pot: the balance does not close")

// close computes what the balances of a run miss and refuses a run that misses
// more than rounding.
//
//	start + poured + vapour = end + drained + surface + wall + roots
func (r *Result) close(start *State) error {
	t := &r.Totals
	r.WaterResidual = residual(
		start.WaterML()+t.PouredML+t.VapourML,
		r.End.WaterML()+t.DrainedML+t.SurfaceML+t.WallML+t.RootsML)
	r.SaltResidual = residual(
		start.Salt()+t.SaltPoured,
		r.End.Salt()+t.SaltDrained+t.SaltTaken)
	// Written so that a residual that is not a number fails too.
	if !(math.Abs(r.WaterResidual) <= balanceTolerance) {
		return fmt.Errorf("%w: water misses %.3g of what was there and what came", ErrBalance, r.WaterResidual)
	}
	if !(math.Abs(r.SaltResidual) <= balanceTolerance) {
		return fmt.Errorf("%w: salt misses %.3g of what was there and what came", ErrBalance, r.SaltResidual)
	}
	return nil
}

// residual returns what is missing as a share of what there should be.
func residual(had, has float64) float64 {
	return (had - has) / max(had, leastAmount)
}
