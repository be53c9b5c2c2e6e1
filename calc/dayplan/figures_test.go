package dayplan

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestReadFiguresRefuses(t *testing.T) {
	const head = "name,kind,min,likely,max,note,source,mark\n"
	for name, text := range map[string]string{
		"no such kind": head + "a,nap,1,2,3,,s,m\n", "no number": head + "a,cook,1,x,3,,s,m\n",
		"too few": "a,b\nc,d\n", "uneven": head + "a\n",
	} {
		_, err := readFigures(text)
		require.Error(t, err, name)
	}
	got, err := readFigures(head + "a,cook,1,2,3,,s,m\n")
	require.NoError(t, err)
	require.Len(t, got, 1)
}
