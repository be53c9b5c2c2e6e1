package headcount

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"
)

// The ages the tables reach to, in years.
const (
	maxAge    = 120
	minMother = 14
	maxMother = 50
)

//go:embed energy_by_age.csv
var energyCSV string

//go:embed portions.csv
var portionsCSV string

// key is a cell of the energy table.
type key struct {
	age      int
	sex      Sex
	activity Activity
}

// energies is the energy table, kcal a day.
type energies struct {
	daily map[key]float64
	added map[string]float64 // to the row of a woman, by the word of the table
}

var (
	sexWords      = map[string]Sex{"male": Male, "female": Female}
	activityWords = map[string][]Activity{
		"sedentary": {Sedentary}, "moderately_active": {Moderate}, "active": {Active},
		"any": {Sedentary, Moderate, Active},
	}
	expectingWords = []string{"", "add_pregnancy_trimester_1", "add_pregnancy_trimester_2", "add_pregnancy_trimester_3"}
	nursingWords   = []string{"", "add_lactation_months_0_6", "add_lactation_months_7_12"}
)

// table is the embedded energy table; that it loads is tested.
var table = sync.OnceValue(func() energies {
	t, err := readEnergies(energyCSV)
	if err != nil {
		panic(err) // the file is part of the program; TestTables reads it
	}
	return t
})

func daily(age int, s Sex, a Activity) float64 { return table().daily[key{age, s, a}] }

// addedFor is what expecting and nursing add, kcal a day.
func addedFor(e Eater) float64 {
	added := table().added
	return added[expectingWords[e.Expecting]] + added[nursingWords[e.Nursing]]
}

// readEnergies reads a table with the columns age_from, age_to, sex, activity, kcal,
// source and mark.
func readEnergies(text string) (energies, error) {
	rows, err := records(text, 7)
	if err != nil {
		return energies{}, err
	}
	t := energies{map[key]float64{}, map[string]float64{}}
	for _, r := range rows {
		if err := t.add(r); err != nil {
			return energies{}, fmt.Errorf("row %q: %w", r[:5], err)
		}
	}
	return t, t.whole()
}

// whole refuses a table with a hole in it.
func (t energies) whole() error {
	if want := maxAge * len(sexWords) * 3; len(t.daily) != want {
		return fmt.Errorf("%w: %d cells, not %d", ErrInput, len(t.daily), want)
	}
	for _, word := range slices.Concat(expectingWords[1:], nursingWords[1:]) {
		if _, ok := t.added[word]; !ok {
			return fmt.Errorf("%w: no %q", ErrInput, word)
		}
	}
	return nil
}

func (t energies) add(r []string) error {
	from, err := strconv.Atoi(r[0])
	if err != nil {
		return err
	}
	to, err := strconv.Atoi(r[1])
	if err != nil {
		return err
	}
	if from < 1 || to < from || to > maxAge {
		return fmt.Errorf("ages %d to %d", from, to)
	}
	kcal, err := number(r[4])
	if err != nil {
		return err
	}
	if strings.HasPrefix(r[3], "add_") {
		return t.addWord(r[3], kcal)
	}
	return t.addCells(from, to, r[2], r[3], kcal)
}

func (t energies) addWord(word string, kcal float64) error {
	if _, twice := t.added[word]; twice {
		return fmt.Errorf("%q is there twice", word)
	}
	t.added[word] = kcal
	return nil
}

func (t energies) addCells(from, to int, sex, activity string, kcal float64) error {
	s, ok := sexWords[sex]
	if !ok {
		return fmt.Errorf("unknown sex %q", sex)
	}
	as, ok := activityWords[activity]
	if !ok {
		return fmt.Errorf("unknown activity %q", activity)
	}
	for age := from; age <= to; age++ {
		for _, a := range as {
			if _, twice := t.daily[key{age, s, a}]; twice {
				return fmt.Errorf("%d years is there twice", age)
			}
			t.daily[key{age, s, a}] = kcal
		}
	}
	return nil
}

// number reads an amount of 0 or more.
func number(text string) (float64, error) {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return 0, err
	}
	if !(v >= 0) || math.IsInf(v, 1) {
		return 0, fmt.Errorf("%w: %g", ErrInput, v)
	}
	return v, nil
}

// records is the table without its header; every cell must be filled.
func records(text string, columns int) ([][]string, error) {
	r := csv.NewReader(strings.NewReader(text))
	r.FieldsPerRecord = columns
	rows, err := r.ReadAll()
	if err != nil {
		return nil, err
	}
	if len(rows) < 2 {
		return nil, fmt.Errorf("%w: an empty table", ErrInput)
	}
	for _, row := range rows {
		for _, cell := range row {
			if strings.TrimSpace(cell) == "" {
				return nil, fmt.Errorf("%w: an empty cell in %q", ErrInput, row)
			}
		}
	}
	return rows[1:], nil
}
