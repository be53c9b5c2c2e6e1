package starter

// Weights of a US cup of white flour, g. It depends on how the cup is filled.
const (
	CupSifted  = 113.0 // sifted: GNU units table, 113.4
	CupUsual   = 125.0 // USDA Standard Reference 28
	CupScooped = 142.0 // scooped: GNU units table, 141.7
)

// cupOfWater is a US cup, 236.5882365 mL exactly, of water at 20 °C, 0.99821 g/mL.
const cupOfWater = 236.5882365 * 0.99821

// ByVolume is the jar after a feed by the cup: US cups of flour and of water, 0 to
// 1,000 each, with flour of 50 to 250 g a cup (see CupUsual). All that is there
// stays in.
func ByVolume(flourCups, waterCups, gramsPerCup float64, have Jar) (Jar, error) {
	if err := have.check(); err != nil {
		return Jar{}, err
	}
	if err := within("cups of flour", flourCups, 0, 1000); err != nil {
		return Jar{}, err
	}
	if err := within("cups of water", waterCups, 0, 1000); err != nil {
		return Jar{}, err
	}
	if err := within("grams a cup", gramsPerCup, 50, 250); err != nil {
		return Jar{}, err
	}
	return jarOf(have.Flour()+flourCups*gramsPerCup, have.Water()+waterCups*cupOfWater)
}

// VolumeRange is what ByVolume gives with the lightest cup of flour, CupSifted, and
// the heaviest, CupScooped: the wettest and the driest the jar can be.
func VolumeRange(flourCups, waterCups float64, have Jar) (wettest, driest Jar, err error) {
	if wettest, err = ByVolume(flourCups, waterCups, CupSifted, have); err != nil {
		return Jar{}, Jar{}, err
	}
	driest, err = ByVolume(flourCups, waterCups, CupScooped, have)
	return wettest, driest, err
}
