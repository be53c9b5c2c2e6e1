package kitchen

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// TestStepTimes: how long a sentence of a recipe says that its work takes, with the unit
// and without.
func TestStepTimes(t *testing.T) {
	for text, minutes := range map[string]int{
		"Simmer for 25 minutes":                     25,
		"then simmer 10":                            10,
		"Bake for 1:30":                             90,
		"Bake at 180 for 40":                        40,
		"Bake at gas 4 for 40 until golden":         40,
		"Boil 10, then simmer another 20":           30,
		"Simmer, covered, for about 1 1/2 hours":    90,
		"Stew for 2 hours and rest 10 minutes":      130,
		"Bake 35-40 min":                            37,
		"Leave overnight":                           12 * 60,
		"Fry the onions":                            0,
		"Boil 4 eggs":                               0,
		"Bake at 180 C":                             0,
		"Serve for 8":                               0,
		"Cook for 8 people":                         0,
		"Roast 2 kg beef":                           0,
		"Simmer until soft":                         0,
		"Simmer 2 cups stock":                       0,
		"Bake at 200 for 10, then at 180 for 30":    40,
		"Rest 5 then slice":                         5,
		"Bake for 0":                                0,
		"Stand 1 hour":                              60,
		"Simmer for 10 or until the lentils are so": 10,
	} {
		span, has := spanOf(text, monday)
		if minutes == 0 {
			require.False(t, has && cooks(text), "%s: %v", text, span.Likely)
			continue
		}
		require.True(t, has, text)
		require.Equal(t, time.Duration(minutes)*time.Minute, span.Likely.Truncate(time.Minute), text)
	}
}
