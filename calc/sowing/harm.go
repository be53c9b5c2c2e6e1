package sowing

import "math"

// Harm is what a cold night does to a crop.
type Harm uint8

// The degrees of harm.
const (
	Safe Harm = iota
	AtRisk
	Hurt
)

// String returns the degree in a word or two.
func (h Harm) String() string { return word([]string{"safe", "at risk", "hurt"}, int(h)) }

// cold is the forecast lows in °C at and below which a crop is at risk and is hurt.
type cold struct{ risk, hurt float64 }

// The lows are those of a forecast, 1.5 to 2 m up: on a clear still night the ground
// is 2 to 4 °C colder (common practice). 2.23 takes in 36 °F, -2.2 and -4.4 take in
// 28 and 24 °F. Those in trays are a step tenderer: tender seedlings come in below 7,
// very tender ones below 10, hardy ones at freezing (extension pages on onions).
var (
	standing = map[Hardiness]cold{Hardy: {-2.2, -4.4}, HalfHardy: {0, -2.2}, Tender: {2.23, 0}, VeryTender: {5, 0}}
	inTrays  = map[Hardiness]cold{Hardy: {0, -2.2}, HalfHardy: {2.23, 0}, Tender: {7, 2.23}, VeryTender: {10, 2.23}}
)

// HarmAt returns what a night with that forecast low in °C does to a crop, in the
// ground or, with tray, to its seedlings while they harden. An unknown low (NaN) and
// an unknown hardiness are a risk.
func HarmAt(c Crop, lowC float64, tray bool) Harm {
	table := standing
	if tray {
		table = inTrays
	}
	at, ok := table[c.Hardiness]
	switch {
	case !ok || math.IsNaN(lowC):
		return AtRisk
	case lowC <= at.hurt:
		return Hurt
	case lowC <= at.risk:
		return AtRisk
	}
	return Safe
}
