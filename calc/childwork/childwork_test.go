package childwork

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// TestChecks runs testdata/checks/childwork.csv; every row names its source.
func TestChecks(t *testing.T) {
	f, err := os.Open("../../testdata/checks/childwork.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	for _, r := range rows[1:] {
		t.Run(r[0], func(t *testing.T) {
			require.NotEmpty(t, r[4])
			require.NotEmpty(t, r[5])
			v := Judge(r[1])
			require.Equal(t, r[2], v.Tag, r[1])
			require.Equal(t, r[3], strconv.Itoa(v.Least), r[1])
			require.Equal(t, r[2] != "", v.Never)
		})
	}
	t.Logf("%d rows ran", len(rows)-1)
	require.Len(t, rows, 150)
}

// TestTable reads the table that the program holds, and what is no table.
func TestTable(t *testing.T) {
	w, err := read(workCSV)
	require.NoError(t, err)
	for _, r := range w.rows {
		require.Equal(t, r.Tag != "", r.Least == Adult, "%s: what is never a child's is an adult's", r.What)
		require.GreaterOrEqual(t, r.Least, Youngest)
	}
	_, err = read("tag,words,not,least,what,source,mark\n,hen,,young,hens,x,y\n")
	require.ErrorContains(t, err, "line 2")
	_, err = read("tag,words,not,least,what,source,mark\n,hen,,5,hens,,y\n")
	require.ErrorContains(t, err, "where it comes from")
	_, err = read("a,\"b\n")
	require.Error(t, err)
}

// TestWordsAroundChangeNothing: a hazard stays one whatever other words stand in
// front of it or behind, in any case.
func TestWordsAroundChangeNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.SampledFrom([]string{"feed the boar", "MIX THE LYE", "drive the tractor", "feed the sow with piglets", "light the fire"}).Draw(t, "name")
		word := rapid.StringMatching(`(quickly|before|every|morning|and|sweep|hens|table|please)`)
		require.True(t, Never(word.Draw(t, "before")+" "+name+" "+word.Draw(t, "after")))
	})
}

func TestStandByFollowsAge(t *testing.T) {
	require.Equal(t, "an adult beside", StandBy(6))
	require.Equal(t, "an adult in sight or earshot", StandBy(8))
	require.Equal(t, "an adult within call", StandBy(13))
	require.Equal(t, "with a look in each half hour", StandBy(14))
	require.Equal(t, "once shown and approved for it", StandBy(17))
	require.Empty(t, StandBy(18))
}

func FuzzJudge(f *testing.F) {
	f.Add("feed the sow with piglets")
	f.Add("’s 's ing")
	f.Fuzz(func(t *testing.T, name string) {
		v := Judge(name)
		if v.Least < Youngest || v.Least > Adult || v.Never != (v.Tag != "") {
			t.Fatalf("%q: %+v", name, v)
		}
	})
}
