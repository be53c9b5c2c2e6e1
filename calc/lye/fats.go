// Package lye computes how much alkali a blend of fats takes, and how sure that
// figure is. Masses are grams; shares are fractions of one.
package lye

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"math"
	"strconv"
	"strings"
	"sync"
)

//go:embed fats.csv
var fatsCSV string

// Fat is one row of the fat table. Saponification values are milligrams of
// potassium hydroxide that one gram of the fat takes up (ISO 3657), as the
// range of the natural fat and a typical value inside it.
type Fat struct {
	Name    string
	Aliases []string
	Min     float64
	Max     float64
	Typical float64
	Soap    string // the usual name of its sodium soap on a label; empty when not certain
	IodMin  float64
	IodMax  float64
	Makeup  Makeup // the zero value when it is not known: waxes
	Source  string
	Mark    string
}

// Fats returns the table in file order. It must not be changed.
var Fats = sync.OnceValue(func() []Fat {
	fats, err := readFats(fatsCSV)
	if err != nil {
		panic(err) // the file is part of the program; TestFatTable reads it
	}
	return fats
})

// FatNamed returns the fat of that exact name.
func FatNamed(name string) (Fat, bool) {
	for _, f := range Fats() {
		if f.Name == name {
			return f, true
		}
	}
	return Fat{}, false
}

func readFats(text string) ([]Fat, error) {
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		return nil, fmt.Errorf("fat table: %w", err)
	}
	if len(rows) < 2 {
		return nil, fmt.Errorf("fat table: no rows")
	}
	col := map[string]int{}
	for i, name := range rows[0] {
		col[name] = i
	}
	fats := make([]Fat, 0, len(rows)-1)
	for n, row := range rows[1:] {
		f, err := readFat(row, col)
		if err != nil {
			return nil, fmt.Errorf("fat table row %d: %w", n+2, err)
		}
		fats = append(fats, f)
	}
	return fats, nil
}

func readFat(row []string, col map[string]int) (Fat, error) {
	f := Fat{
		Name:    row[col["name"]],
		Aliases: aliases(row[col["also_called"]]),
		Soap:    row[col["inci_soap_naoh"]],
		Source:  row[col["source"]],
		Mark:    row[col["mark"]],
	}
	for name, to := range map[string]*float64{
		"sv_min_mgKOH_g": &f.Min, "sv_max_mgKOH_g": &f.Max, "sv_typical_mgKOH_g": &f.Typical,
	} {
		v, err := strconv.ParseFloat(row[col[name]], 64)
		if err != nil || math.IsNaN(v) || v <= 0 {
			return Fat{}, fmt.Errorf("%s: %q is not a saponification value", name, row[col[name]])
		}
		*to = v
	}
	if f.Min > f.Typical || f.Typical > f.Max {
		return Fat{}, fmt.Errorf("%s: typical value outside its range", f.Name)
	}
	if err := readMakeup(&f, row, col); err != nil {
		return Fat{}, err
	}
	return f, nil
}

// readMakeup reads the fatty acids and the iodine value. A row that leaves them
// empty does not know them.
func readMakeup(f *Fat, row []string, col map[string]int) error {
	m := &f.Makeup
	for name, to := range map[string]*float64{
		"iv_min": &f.IodMin, "iv_max": &f.IodMax,
		"c12_pct_typ": &m.Lauric, "c14_pct_typ": &m.Myristic, "c16_pct_typ": &m.Palmitic, "c18_0_pct_typ": &m.Stearic, "c18_1_pct_typ": &m.Oleic,
		"c18_2_pct_typ": &m.Linoleic, "c18_3_pct_typ": &m.Linolenic, "c18_1OH_pct_typ": &m.Ricinoleic, "other_pct_typ": &m.Other,
	} {
		cell := row[col[name]]
		if cell == "" {
			continue
		}
		v, err := strconv.ParseFloat(cell, 64)
		if err != nil || math.IsNaN(v) || v < 0 {
			return fmt.Errorf("%s: %q is no figure", name, cell)
		}
		*to = v
	}
	f.Makeup = f.Makeup.times(0.01)
	return nil
}

// aliases splits "a; b (note); c" and drops the notes in brackets.
func aliases(s string) []string {
	var out []string
	for part := range strings.SplitSeq(s, ";") {
		name, _, _ := strings.Cut(part, "(")
		if name = strings.TrimSpace(name); name != "" {
			out = append(out, name)
		}
	}
	return out
}
