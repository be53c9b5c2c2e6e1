package childwork_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/calc/childwork"
)

// TestStretch: the older, the longer in one go, and from 13 no more than four hours, after
// which local rules for working children ask for a break.
func TestStretch(t *testing.T) {
	for age, want := range map[int]time.Duration{3: 15 * time.Minute, 6: 30 * time.Minute, 9: 45 * time.Minute, 10: time.Hour, 12: time.Hour, 13: 4 * time.Hour, 17: 4 * time.Hour} {
		require.Equal(t, want, childwork.Stretch(age), "%d", age)
	}
	for age := range 30 {
		require.GreaterOrEqual(t, childwork.Stretch(age+1), childwork.Stretch(age))
	}
}
