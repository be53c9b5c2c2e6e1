package feast_test

import (
	"encoding/csv"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/calc/feast"
)

func TestDaysAreThosePublished(t *testing.T) {
	t.Parallel()
	f, err := os.Open("../../testdata/checks/feast.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	for _, row := range rows[1:] {
		year, err := strconv.Atoi(strings.TrimPrefix(row[2], "year="))
		require.NoError(t, err, row[0])
		got := feast.Easter(year)
		if row[1] != "easter" {
			i := slices.IndexFunc(feast.Days, func(d feast.Day) bool { return d.Name == row[1] })
			require.GreaterOrEqual(t, i, 0, row[0])
			got = feast.Days[i].In(year)
		}
		require.Equal(t, row[3], got.Format(time.DateOnly), row[0])
	}
}

func TestEasterIsASundayOfSpring(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		year := rapid.IntRange(feast.First, feast.Last).Draw(t, "year")
		got := feast.Easter(year)
		require.Equal(t, time.Sunday, got.Weekday())
		require.False(t, got.Before(time.Date(year, 3, 22, 0, 0, 0, 0, time.UTC)))
		require.False(t, got.After(time.Date(year, 4, 25, 0, 0, 0, 0, time.UTC)))
	})
	require.True(t, feast.Easter(1582).IsZero())
	require.True(t, feast.Days[0].In(5000).IsZero())
}
