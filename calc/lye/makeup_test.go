package lye_test

import (
	"encoding/csv"
	"os"
	"regexp"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/calc/lye"
)

// fattyAcid is a molar mass in g/mol (IUPAC abridged atomic weights) and its
// double bonds.
type fattyAcid struct{ molar, bonds float64 }

var fattyAcids = map[string]fattyAcid{
	"C4": {88.11, 0}, "C6": {116.16, 0}, "C8": {144.21, 0}, "C10": {172.26, 0}, "C12": {200.32, 0}, "C14": {228.37, 0}, "C14:1": {226.36, 1}, "C15": {242.40, 0},
	"C16": {256.42, 0}, "C16:1": {254.41, 1}, "C17": {270.45, 0}, "C17:1": {268.44, 1}, "C18": {284.48, 0}, "C18:1": {282.46, 1}, "C18:2": {280.45, 2},
	"C18:3": {278.43, 3}, "C18:1OH": {298.46, 1}, "dihydroxystearic": {316.48, 0}, "C20": {312.53, 0}, "C20:1": {310.51, 1}, "C20:2": {308.50, 2},
	"C22": {340.58, 0}, "C22:1": {338.57, 1}, "C24": {368.63, 0}, "C24:1": {366.62, 1},
}

var (
	others         = regexp.MustCompile(`other = ([^;]*)`)
	unsaponifiable = regexp.MustCompile(`unsaponifiables assumed ([\d.]+)%`)
	part           = regexp.MustCompile(`(\S+) ([\d.]+)`)
)

// profile is the whole of a row's fatty acids, with what its source column says
// of "other" and of the unsaponifiable share.
func profile(t *testing.T, f lye.Fat) (map[string]float64, float64) {
	m := f.Makeup
	out := map[string]float64{
		"C12": m.Lauric, "C14": m.Myristic, "C16": m.Palmitic, "C18": m.Stearic, "C18:1": m.Oleic, "C18:2": m.Linoleic, "C18:3": m.Linolenic, "C18:1OH": m.Ricinoleic,
	}
	said := 0.0
	if found := others.FindStringSubmatch(f.Source); found != nil {
		for _, p := range part.FindAllStringSubmatch(found[1], -1) {
			v, err := strconv.ParseFloat(p[2], 64)
			require.NoError(t, err)
			require.Contains(t, fattyAcids, p[1])
			out[p[1]] += v / 100
			said += v / 100
		}
	}
	require.InDelta(t, m.Other, said, 0.0006, "what other stands for")
	share := 0.0
	if found := unsaponifiable.FindStringSubmatch(f.Source); found != nil {
		v, err := strconv.ParseFloat(found[1], 64)
		require.NoError(t, err)
		share = v / 100
	}
	return out, share
}

// TestSaponificationFromFattyAcids works every saponification value out of the
// fat's own fatty acids: M = 1 / sum(w / M_i), 3 x 56106 / (3 M + 38.05) for a
// triglyceride, 56106 / M for a free acid. It has to lie in the row's range, and
// be what was worked out apart (fats.csv of the checks, computed). The waxes have
// their own chemistry.
func TestSaponificationFromFattyAcids(t *testing.T) {
	ran := 0
	for _, row := range fatRows(t) {
		f := fat(t, row[0])
		least, err := lye.LeastSuperfat([]lye.Portion{{Fat: f, Grams: 100}})
		require.NoError(t, err)
		require.InDelta(t, number(t, row[3]), 100*least, 0.051, row[0])
		if row[1] == "" || f.Name == "jojoba oil" {
			continue
		}
		ran++
		t.Run(f.Name, func(t *testing.T) {
			require.InDelta(t, 1, f.Makeup.Sum(), 0.0011)
			acids, unsaponified := profile(t, f)
			moles, bonds := 0.0, 0.0
			for name, share := range acids {
				moles += share / fattyAcids[name].molar
				bonds += share / fattyAcids[name].molar * fattyAcids[name].bonds
			}
			mean := 1 / moles
			sv, perGram := 3*56106/(3*mean+38.05)*(1-unsaponified), 3*mean/(3*mean+38.05)*(1-unsaponified)
			if f.Name == "stearic acid" {
				sv, perGram = 56106/mean, 1
			}
			require.InDelta(t, number(t, row[1]), sv, 0.35)
			require.InDelta(t, number(t, row[2]), 100*253.81*bonds*perGram, 1.6)
			if f.Name != "mango kernel fat" { // its range, from memory, begins above the prediction
				require.GreaterOrEqual(t, sv, f.Min)
			}
			require.LessOrEqual(t, sv, f.Max)
		})
	}
	t.Logf("%d fats ran", ran)
	require.Equal(t, 46, ran)
}

func fatRows(t *testing.T) [][]string {
	f, err := os.Open("../../testdata/checks/fats.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, len(lye.Fats())+1, "every fat has a row")
	return rows[1:]
}

// TestMakeupLiesBetweenItsFats: mixing adds nothing and takes nothing away.
func TestMakeupLiesBetweenItsFats(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		fats := blends.Draw(t, "fats")
		got, known, err := lye.MakeupOf(fats)
		require.NoError(t, err)
		low, high, grams := inf, -inf, 0.0
		for _, p := range fats {
			if p.Fat.Makeup.Sum() > 0 {
				low, high = min(low, p.Fat.Makeup.Oleic), max(high, p.Fat.Makeup.Oleic)
				grams += p.Grams
			}
		}
		require.InDelta(t, grams/lye.TotalFat(fats), known, 1e-9)
		if grams == 0 {
			require.Zero(t, got)
			return
		}
		require.InDelta(t, 1, got.Sum(), 0.002)
		require.GreaterOrEqual(t, got.Oleic, low-1e-9)
		require.LessOrEqual(t, got.Oleic, high+1e-9)
	})
}

// TestMixes: whatever share of the work sodium does, the pure work is the same,
// the check of a card gives its superfat back, and acids leave it as it was.
func TestMixes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		fats, superfat := blends.Draw(t, "fats"), superfats.Draw(t, "superfat")
		mix := lye.Mix{Share: rapid.Float64Range(0, 1).Draw(t, "share"), SodiumPurity: purities.Draw(t, "sodium"), PotassiumPurity: purities.Draw(t, "potassium")}
		var acids []lye.AcidPortion
		if rapid.Bool().Draw(t, "acid") {
			a := rapid.SampledFrom(lye.Acids).Draw(t, "which")
			acids = append(acids, lye.AcidPortion{Acid: a, Grams: rapid.Float64Range(0.1, 500).Draw(t, "grams"), Strength: rapid.Float64Range(0.01, 1).Draw(t, "strength")})
		}
		a, err := lye.Lye(fats, superfat, mix, acids...)
		require.NoError(t, err)
		b, err := lye.BandOf(fats, a, acids...)
		require.NoError(t, err)
		require.InDelta(t, superfat, b.Typical, 1e-9)
		require.LessOrEqual(t, b.Low, b.LikelyLow+1e-12)
		require.LessOrEqual(t, b.LikelyLow, b.Typical+1e-12)
		require.LessOrEqual(t, b.Typical, b.LikelyHigh+1e-12)
		require.LessOrEqual(t, b.LikelyHigh, b.High+1e-12)
		alone, err := lye.Lye(fats, superfat, lye.Sodium(1), acids...)
		require.NoError(t, err)
		require.InEpsilon(t, alone.Sodium, a.Pure(), 1e-9)
		require.InDelta(t, mix.Share, lye.MolesOfMass(lye.MassOfMoles(mix.Share)), 1e-9)
		if len(acids) > 0 {
			without, err := lye.BandOf(fats, a)
			require.NoError(t, err)
			require.Less(t, without.Typical, b.Typical, "the acid takes its part")
		}
	})
}

func TestAlkaliRefuses(t *testing.T) {
	fats := lard(t, 1000)
	citric, _ := lye.AcidNamed("citric acid")
	for name, a := range map[string]lye.Alkali{
		"nothing": {}, "below zero": {Sodium: -1, Potassium: 200, SodiumPurity: 1, PotassiumPurity: 1}, "no purity": {Sodium: 100, Potassium: 20, SodiumPurity: 1},
		"endless": {Sodium: inf, SodiumPurity: 1}, "none": {Sodium: nan, SodiumPurity: 1},
	} {
		_, err := lye.BandOf(fats, a)
		require.Error(t, err, name)
	}
	for _, m := range []lye.Mix{{Share: -0.1, SodiumPurity: 1, PotassiumPurity: 1}, {Share: 1.1, SodiumPurity: 1, PotassiumPurity: 1}, {Share: nan}, {Share: 0.5, SodiumPurity: 1}, {Share: 0.5, PotassiumPurity: 1}} {
		_, err := lye.Lye(fats, 0.05, m)
		require.Error(t, err, "%+v", m)
	}
	for _, p := range []lye.AcidPortion{{Acid: citric, Strength: 1}, {Acid: citric, Grams: 10}, {Acid: citric, Grams: 10, Strength: 1.1}, {Acid: citric, Grams: nan, Strength: 1}, {Acid: citric, Grams: -1, Strength: 1}} {
		_, err := lye.Lye(fats, 0.05, lye.Sodium(1), p)
		require.ErrorIs(t, err, lye.ErrAcid)
	}
	_, err := lye.BandOf(fats, naoh(100, 1), lye.AcidPortion{Acid: citric, Grams: 300, Strength: 1})
	require.ErrorIs(t, err, lye.ErrAcid, "the acid takes all of the lye")
	for _, side := range []float64{0, -1, nan, inf} {
		_, err := lye.Box(side, 10, 10)
		require.ErrorIs(t, err, lye.ErrMould)
		_, err = lye.Cylinder(side, 10)
		require.ErrorIs(t, err, lye.ErrMould)
		_, err = lye.FillFactor(side, 1000, 1)
		require.ErrorIs(t, err, lye.ErrMould)
		_, err = lye.ForWater(side, 0.1)
		require.ErrorIs(t, err, lye.ErrWater)
	}
	_, err = lye.WaterIn(100, 1)
	require.ErrorIs(t, err, lye.ErrWater)
	_, _, err = lye.StockAndWater(100, 0.3, 0.4)
	require.ErrorIs(t, err, lye.ErrWater)
}
