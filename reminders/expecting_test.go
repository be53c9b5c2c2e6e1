package reminders_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/reminders"
	"yardbell/storage"
)

// TestExpectingIsKeptFromBirths: a bell of lambing goes to another adult while its
// person expects a child, is not told to her when it goes unanswered, and says no word
// why; what is no birth is hers as ever, and after the day it is hers again.
func TestExpectingIsKeptFromBirths(t *testing.T) {
	r := newRinger(t)
	r.do(func(tx *storage.Tx) {
		_, err := tx.AddPerson(storage.Person{Household: r.house, Name: "Edda"})
		require.NoError(t, err)
		require.NoError(t, tx.SetExpecting(r.ids["Maren"], true, time.Date(2027, 3, 2, 0, 0, 0, 0, time.UTC)))
	})
	maren := reminders.People(r.ids["Maren"])
	r.bell(storage.Bell{Title: "lambing check", Next: at("2027-03-01 09:00"), Whom: maren})
	r.bell(storage.Bell{Title: "watch the doe, she may kid", Next: at("2027-03-01 09:00"), Whom: maren})
	r.bell(storage.Bell{Title: "the kids' shoes", Next: at("2027-03-01 09:00"), Whom: maren})
	for _, line := range r.play("2027-03-01 08:00", "2027-03-02 10:00") {
		if strings.Contains(line, "Maren: ") {
			require.NotContains(t, line, "ambing")
			require.NotContains(t, line, "doe")
		}
		require.NotContains(t, strings.ToLower(line), "expect")
		if strings.Contains(line, "ambing") {
			require.NotContains(t, line, "for Maren")
		}
	}
	r.bell(storage.Bell{Title: "lamb the last ewe", Next: at("2027-03-05 09:00"), Whom: maren})
	require.Contains(t, strings.Join(r.play("2027-03-05 08:00", "2027-03-05 09:01"), "\n"), "Maren: ")
}

func TestNearBirth(t *testing.T) {
	for title, near := range map[string]bool{
		"lambing check": true, "watch Daisy, calving": true, "goats: kids due": true, "bottle for the lamb": true, "clear the afterbirth": true,
		"pick up the kids": false, "kids' tea": false, "feed the goats": false, "lamb stew on": true,
	} {
		require.Equal(t, near, reminders.NearBirth(storage.Bell{Title: title}), title)
	}
}
