package cli

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"velamen/internal/care"
	"velamen/internal/culture"
	"velamen/science/basis"
)

// potFlags describe a pot by its nominal size or its measures, or a mount.
type potFlags struct {
	Nominal  number `name:"pot-cm" range:"4 to 40 cm" placeholder:"CM" help:"Pot by the size it is sold by, 4 to 40 cm."`
	Top      number `name:"top-cm" range:"0.5 to 80 cm" placeholder:"CM" help:"Inside width at the brim, 0.5 to 80 cm; with --bottom-cm and --height-cm instead of --pot-cm."`
	Bottom   number `name:"bottom-cm" range:"0.5 to 80 cm" placeholder:"CM" help:"Inside width at the base, 0.5 to 80 cm."`
	Height   number `name:"height-cm" range:"0.5 to 80 cm" placeholder:"CM" help:"Inside height, 0.5 to 80 cm."`
	Square   bool   `help:"The pot is square; the widths are its sides."`
	Material string `placeholder:"NAME" help:"Of the pot: plastic (if left out), clay, glazed, net, slatted or fabric."`
	Medium   string `placeholder:"MIX" help:"What fills the pot, by volume: \"medium bark=7,perlite=3\"."`
	Mount    string `placeholder:"NAME" help:"A mount instead of a pot: cork, hardwood, tree fern."`
	MountCM  string `name:"mount-cm" placeholder:"WxH" help:"Width and height of the mount, 15x8, each 0.5 to 80 cm."`
	Moss     number `name:"moss-cm" range:"0 to 8 cm" placeholder:"CM" help:"Thickness of a moss pad on the mount, 0 to 8 cm."`
}

// flags names what describes the home, for errors that concern all of it.
func (f potFlags) flags() string {
	switch {
	case f.Mount != "":
		return "--mount, --mount-cm"
	case f.Nominal.given:
		return "--pot-cm, --medium"
	}
	return "--top-cm, --bottom-cm, --height-cm, --medium"
}

// home puts the flags together and refuses what contradicts itself.
func (f potFlags) home(tables culture.Table) (care.Home, error) {
	if f.Mount != "" {
		return f.mount(tables)
	}
	if f.MountCM != "" || f.Moss.given {
		return care.Home{}, errors.New("--mount-cm and --moss-cm describe a mount; give --mount too")
	}
	if f.Medium == "" {
		return care.Home{}, errors.New("--medium is missing: what fills the pot? Such as --medium \"medium bark=7,perlite=3\"")
	}
	measured := 0
	for _, n := range []number{f.Top, f.Bottom, f.Height} {
		if n.given {
			measured++
		}
	}
	switch {
	case f.Nominal.given && measured > 0:
		return care.Home{}, errors.New("--pot-cm is a nominal size; give it, or --top-cm, --bottom-cm and --height-cm, but not both")
	case !f.Nominal.given && measured < 3:
		return care.Home{}, errors.New("how large is the pot? Give --pot-cm, or all of --top-cm, --bottom-cm and --height-cm")
	}
	medium, err := mix(f.Medium, tables)
	if err != nil {
		return care.Home{}, err
	}
	material := f.Material
	if material == "" {
		material = "plastic"
	}
	if _, err := tables.Container(material); err != nil {
		return care.Home{}, at("--material", err)
	}
	return care.Home{Medium: medium, Container: &care.Container{
		NominalCm: f.Nominal.length(), TopCm: f.Top.length(), BottomCm: f.Bottom.length(), HeightCm: f.Height.length(),
		Square: f.Square, Material: material,
	}}, nil
}

// length is the number as a length the grower stated; nothing if left out.
func (n number) length() basis.Value {
	if !n.given {
		return basis.Value{}
	}
	return basis.Exactly(n.value, "cm", basis.Given, "")
}

func (f potFlags) mount(tables culture.Table) (care.Home, error) {
	for _, n := range []named{{"--pot-cm", f.Nominal}, {"--top-cm", f.Top}, {"--bottom-cm", f.Bottom}, {"--height-cm", f.Height}} {
		if n.given {
			return care.Home{}, fmt.Errorf("%s is a pot's; a mount has --mount-cm", n.flag)
		}
	}
	if f.Medium != "" || f.Material != "" || f.Square {
		return care.Home{}, errors.New("--medium, --material and --square are a pot's; a mount has --moss-cm")
	}
	if _, err := tables.Mount(f.Mount); err != nil {
		return care.Home{}, at("--mount", err)
	}
	width, height, err := size(f.MountCM)
	if err != nil {
		return care.Home{}, err
	}
	return care.Home{Mount: &care.Mount{
		Material: f.Mount, WidthCm: basis.Exactly(width, "cm", basis.Given, ""), HeightCm: basis.Exactly(height, "cm", basis.Given, ""),
		MossCm: basis.Exactly(f.Moss.value, "cm", basis.Given, ""),
	}}, nil
}

// size reads "15x8".
func size(text string) (width, height float64, err error) {
	if text == "" {
		return 0, 0, errors.New("--mount-cm is missing: the mount's width and height, such as 15x8")
	}
	first, second, ok := strings.Cut(strings.NewReplacer("×", "x", "X", "x", " ", "").Replace(text), "x")
	width, err = strconv.ParseFloat(first, 64)
	if err == nil {
		height, err = strconv.ParseFloat(second, 64)
	}
	if !ok || err != nil {
		return 0, 0, fmt.Errorf("--mount-cm: %q is not a size; write the width and the height as 15x8", text)
	}
	for _, side := range []float64{width, height} {
		if !(side >= 0.5 && side <= 80) {
			return 0, 0, fmt.Errorf("--mount-cm: %g is outside 0.5 to 80 cm", side)
		}
	}
	return width, height, nil
}

// mix reads "medium bark=7,perlite=3"; a medium without parts has one.
func mix(text string, tables culture.Table) ([]care.Component, error) {
	var list []care.Component
	for item := range strings.SplitSeq(text, ",") {
		name, amount, counted := strings.Cut(item, "=")
		name, amount = strings.TrimSpace(name), strings.TrimSpace(amount)
		if name == "" {
			return nil, fmt.Errorf("--medium: a name is missing in %q; write it as \"medium bark=7,perlite=3\"", text)
		}
		parts := 1.0
		if counted {
			var err error
			if parts, err = strconv.ParseFloat(amount, 64); err != nil || !(parts > 0 && parts <= 1000) {
				return nil, fmt.Errorf("--medium: %q is not the parts of %s; a number above 0, to 1000, is allowed", amount, name)
			}
		}
		if _, err := tables.Medium(name); err != nil {
			return nil, at("--medium", err)
		}
		list = append(list, care.Component{Medium: name, Parts: parts})
	}
	return list, nil
}

// describe names the home for a title.
func (p *potRun) describe() string {
	state := "aged, just watered"
	if p.fresh {
		state = "fresh from the bag"
	}
	if m := p.home.Mount; m != nil {
		text := fmt.Sprintf("%s mount, %g × %g cm", m.Material, m.WidthCm.Value, m.HeightCm.Value)
		if m.MossCm.Value > 0 {
			text += fmt.Sprintf(", moss %g cm", m.MossCm.Value)
		}
		return text + ", " + state
	}
	names := make([]string, len(p.home.Medium))
	for i, c := range p.home.Medium {
		names[i] = c.Medium
		if len(p.home.Medium) > 1 {
			names[i] = fmt.Sprintf("%g %s", c.Parts, c.Medium)
		}
	}
	return fmt.Sprintf("%s in %s, %s", strings.Join(names, " : "), p.home.Container.Material, state)
}

// mediumParameters are the figures of the medium or mount that decide most.
func (p *potRun) mediumParameters() []parameter {
	var list []parameter
	add := func(key, name string, v basis.Value) {
		if v.Grade != 0 {
			list = append(list, parameter{key, name, v})
		}
	}
	for _, component := range p.home.Medium {
		m, err := p.tables.Medium(component.Medium)
		if err != nil {
			continue // home refused it already
		}
		key := strings.ReplaceAll(m.Key, "-", "_") + "_"
		capacity, capture := m.ThetaCapacity, m.CaptureAged
		if p.fresh {
			capacity, capture = m.ThetaCapacityFresh, m.CaptureFresh
		}
		add(key+"capacity", "water held by "+m.Name, capacity)
		add(key+"capture_dry", "capture of "+m.Name+" dry", capture.Dry)
		add(key+"capture_wet", "and moist", capture.Wet)
		add(key+"porosity", "pore space of "+m.Name, m.TotalPorosity)
		add(key+"particle_share", "water inside particles of "+m.Name, m.ParticleShare)
		add(key+"soak_dry_per_day", "uptake of dry particles", m.SoakDryPerDay)
		add(key+"soak_wet_per_day", "and moist ones", m.SoakWetPerDay)
		add(key+"half_thickness_mm", "half thickness of particles", m.HalfThicknessMM)
		add(key+"readily_evaporated", "evaporates readily", m.ReadilyEvaporated)
		add(key+"total_evaporated", "evaporates in all", m.TotalEvaporated)
		add(key+"tanks", "tanks in series", m.Tanks)
		add(key+"bypass", "bypass", m.Bypass)
		add(key+"ageing_weeks", "weeks to age", m.AgeingWeeks)
		add(key+"bulk_density_g_per_cm3", "dry density", m.BulkDensityGPerCM3)
	}
	if c := p.home.Container; c != nil {
		if c.NominalCm.Grade != 0 {
			add("top_cm", "inside width at the brim", c.TopCm)
			add("bottom_cm", "at the base", c.BottomCm)
			add("height_cm", "inside height", c.HeightCm)
		}
		if material, err := p.tables.Container(c.Material); err == nil {
			add("wall_factor", "breathing share of the wall", material.WallFactor)
		}
	}
	if p.home.Mount != nil {
		if m, err := p.tables.Mount(p.home.Mount.Material); err == nil {
			add("mount_store_mm", "water on the face of the mount", m.StoreMM)
			add("mount_vapour_share", "share won back from damp air", m.VapourShare)
		}
	}
	return list
}
