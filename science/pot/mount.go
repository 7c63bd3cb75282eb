package pot

// Mount is a plate of cork, bark, wood or tree fern with an orchid tied to it,
// and perhaps a pad of moss under the roots. It stores water by area, not by
// volume: 1 mm is 10 mL on 100 cm².
type Mount struct {
	WidthCM  float64 // 0.5 to 80 cm
	HeightCM float64 // 0.5 to 80 cm
	StoreMM  float64 // water the plate itself holds on its area, 0.05 to 30 mm
	PadMM    float64 // thickness of the moss pad spread over the plate's area, 0 to 80 mm
	PadWater float64 // what the pad holds when full, m³/m³, 0 to 0.95

	Wetting Wettability // of plate and pad; the uptake rates have no effect on a mount
	Bypass  float64     // share of running water that does not mix with what the mount holds, 0 to 0.95
}

// FullMM returns the water on the mount's area when it is full, in mm.
func (m Mount) FullMM() float64 { return m.StoreMM + m.PadMM*m.PadWater }

// NewMount returns the mount as a Pot: a thin store that dries within hours
// from its one face, without a wall, particles or several tanks. The parameters
// must pass their own checks.
func NewMount(m Mount, parameters Parameters) (*Pot, error) {
	if err := firstError(
		parameters.check(),
		within("width", m.WidthCM, SmallestCM, LargestCM, "cm"),
		within("height", m.HeightCM, SmallestCM, LargestCM, "cm"),
		within("store of the plate", m.StoreMM, 0.05, 30, "mm"),
		within("thickness of the pad", m.PadMM, 0, 80, "mm"),
		within("water in the pad", m.PadWater, 0, 0.95, "m³/m³"),
		within("bypass", m.Bypass, 0, 0.95, "1"),
		m.Wetting.check(&mountNames),
	); err != nil {
		return nil, err
	}
	p := &Pot{}
	p.surfaceCM2 = m.WidthCM * m.HeightCM
	p.mlPerMM = mlPerMMPerCM2 * p.surfaceCM2
	p.totalMM = m.FullMM()
	p.readyMM = parameters.MountReadyShare.Value * p.totalMM
	p.filmCapacityML = p.totalMM * p.mlPerMM
	p.volumeML = p.filmCapacityML
	p.tanks = 1
	p.bypass = m.Bypass
	p.fresh, p.aged = m.Wetting, m.Wetting
	p.vapourML = parameters.VapourShare.Value * p.filmCapacityML
	p.derive(&parameters)
	return p, nil
}
