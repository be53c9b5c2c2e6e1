package handlers_test

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// TestAnswersInOtherWords: what means a button, or a length beside the buttons, is taken;
// what may mean two of them, or is talk, is not, and then nothing is written.
func TestAnswersInOtherWords(t *testing.T) {
	const bed, loo = "job fix the bed, Tom, children may be near", "job fix the loo, Tom, 30 min"
	const school = "block school weekdays 9:30-12:30 kids"
	for _, c := range []struct{ line, answer, want string }{
		{bed, "half an hour", "fix the bed, Tom, 30 min."},
		{bed, "45 min", "Tom, 45 min."},
		{bed, "2h", "Tom, 2 h."},
		{bed, "two hours", "Tom, 2 h."},
		{bed, "about an hour", "Tom, 1 h."},
		{bed, "an hour and a half", "Tom, 1 h 30 min."},
		{bed, "30", "Tom, 30 min."},
		{bed, "3", ""},
		{bed, "half an hour ago", ""},
		{bed, "30 hours of rain", ""},
		{loo, "no kids", "children elsewhere"},
		{loo, "nope", "children elsewhere"},
		{loo, "no kids near", "children elsewhere"},
		{loo, "yeah", "fix the loo, Tom, 30 min."},
		{loo, "sure", "fix the loo, Tom, 30 min."},
		{loo, "children near", "fix the loo, Tom, 30 min."},
		{loo, "Ivo can help", "children can help"},
		{loo, "kids can help", "children can help"},
		{loo, "kids", ""},
		{loo, "only Ivo", ""},
		{loo, "yeah right, as if", ""},
		{"half day at school today", "till 11", "School is 09:30-11:00, Mon 8 Mar."},
		{"half day at school tomorrow", "11", "School is 09:30-11:00, Tue 9 Mar."},
		{"Easter holidays start tomorrow", "until 20 march", "School is off, Tue 9 Mar to Sat 20 Mar."},
		{"Easter holidays start tomorrow", "till the 20th", "School is off, Tue 9 Mar to Sat 20 Mar."},
		{"half term", "from 15 to 19 march", "School is off, Mon 15 Mar to Fri 19 Mar."},
		{"school is off from the 22nd", "until the 26th", "School is off, Mon 22 Mar to Fri 26 Mar."},
		{"picking Pim up at half ten, he was sick", "yes", "Pim is at home, Mon 8 Mar."},
		{"picking Pim up at half ten, he was sick", "yes please do ask", ""},
	} {
		h := newHome(t)
		h.say(wallTime(t, "2027-03-01 07:00"), "Maren", school)
		at := wallTime(t, "2027-03-08 07:30")
		require.Len(t, h.say(at, "Maren", c.line), 1, c.line)
		replies := h.say(at, "Maren", c.answer)
		if c.want == "" {
			require.Empty(t, replies, c.answer)
			continue
		}
		require.NotEmpty(t, replies, "%s: %s", c.line, c.answer)
		require.Contains(t, replies[0].Text(), c.want, "%s: %s", c.line, c.answer)
	}
}
