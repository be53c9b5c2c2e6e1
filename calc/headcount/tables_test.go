package headcount

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestTables(t *testing.T) {
	e, err := readEnergies(energyCSV)
	require.NoError(t, err)
	for k, kcal := range e.daily {
		require.True(t, kcal >= 800 && kcal <= 3200, "%v", k)
	}
	require.Len(t, e.added, 5)
	s, err := readPortions(portionsCSV)
	require.NoError(t, err)
	require.NotEmpty(t, s)
}

func TestBrokenEnergies(t *testing.T) {
	tests := []struct{ name, old, new string }{
		{"a hole", "30,male,active", "29,male,active"},
		{"twice", "21,25,male,active", "20,25,male,active"},
		{"sex", "2,2,male", "2,2,mole"},
		{"activity", "2,2,male,active", "2,2,male,lazy"},
		{"age", "2,2,male", "two,2,male"},
		{"last age", "2,2,male", "2,two,male"},
		{"ages turned", "21,25,male", "25,21,male"},
		{"beyond", "76,120", "76,200"},
		{"kcal", "female,any,800", "female,any,many"},
		{"below 0", "female,any,800", "female,any,-800"},
		{"no number", "female,any,800", "female,any,NaN"},
		{"without end", "female,any,800", "female,any,Inf"},
		{"empty cell", "female,any,800", "female,any,"},
		{"a column less", "female,any,800", "female,any"},
		{"no nursing", "add_lactation_months_0_6", "add_lactation_months_0_7"},
		{"added twice", "add_lactation_months_0_6", "add_lactation_months_7_12"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			require.Contains(t, energyCSV, tt.old)
			_, err := readEnergies(strings.Replace(energyCSV, tt.old, tt.new, 1))
			require.Error(t, err)
		})
	}
	_, err := readEnergies("")
	require.ErrorIs(t, err, ErrInput)
}

func TestBrokenPortions(t *testing.T) {
	tests := []struct{ name, old, new string }{
		{"low", "bread,2", "bread,two"},
		{"high", "bread,2,2", "bread,2,two"},
		{"none", "bread,2", "bread,0"},
		{"turned", "bread,2,2", "bread,2,1"},
		{"unit", "bread,2,2,oz", "bread,2,2,slice"},
		{"twice", "bread", "vegetables"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			require.Contains(t, portionsCSV, tt.old)
			_, err := readPortions(strings.Replace(portionsCSV, tt.old, tt.new, 1))
			require.Error(t, err)
		})
	}
}

// FuzzReadEnergies: a table that is taken has a figure for everybody.
func FuzzReadEnergies(f *testing.F) {
	f.Add(energyCSV)
	f.Add("age_from,age_to,sex,activity,kcal,source,mark\n1,120,male,any,2000,a,b\n1,120,female,any,2000,a,b\n")
	f.Add("")
	f.Fuzz(func(t *testing.T, text string) {
		got, err := readEnergies(text)
		if err != nil {
			return
		}
		for age := 1; age <= maxAge; age++ {
			for _, s := range []Sex{Male, Female} {
				for a := Sedentary; a <= Active; a++ {
					require.Contains(t, got.daily, key{age, s, a})
				}
			}
		}
	})
}

// FuzzReadPortions: a table that is taken has amounts in order and in known units.
func FuzzReadPortions(f *testing.F) {
	f.Add(portionsCSV)
	f.Add("what,low,high,unit,source,mark\nbread,1,2,oz,a,b\n")
	f.Add("")
	f.Fuzz(func(t *testing.T, text string) {
		got, err := readPortions(text)
		if err != nil {
			return
		}
		require.NotEmpty(t, got)
		for _, s := range got {
			require.True(t, s.Low > 0 && s.High >= s.Low && s.What != "" && s.Source != "")
			require.Contains(t, []string{"oz", "lb", "cup"}, s.Unit)
		}
	})
}
