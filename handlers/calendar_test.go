package handlers_test

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/emersion/go-ical"
	"github.com/stretchr/testify/require"

	"yardbell/handlers"
	"yardbell/reminders"
	"yardbell/storage"
)

// everyKindOfBell are bells that repeat in every way that can be typed, some at times
// that a clock change passes over or gives twice.
var everyKindOfBell = []string{
	"ring Ivo feed the hens daily at 7:15",
	"ring me look at the oven daily at 1:30am",
	"ring me turn the starter daily at 2:30am",
	"ring Lise water the goats every weekday 15:30",
	"ring Ivo sweep the barn mon wed fri 18:00",
	"ring Tom set the bins out every other thursday 21:30",
	"ring me pay the feed bill last friday monthly 10:00",
	"ring Tom oil the hinges every 3 days at 6am",
	"ring Tom phone grandmother twice a day at 8 and 18",
	"ring Edda stir the vat every 2 hours from 8 to 18",
	"ring me turn the bars every other sunday",
	"ring Lise wipe the shelf every sunday",
	"ring me check the sow every 36 hours",
	"ring me take the tablets daily at 2:30am 40 times",
	"ring Tom drench the goats daily at 1:30am until 30 march",
	"ring Pim count the eggs every saturday 9:00 5 times",
	"ring Ivo and Lise in turn shut the hens daily at 20:30",
	"ring me post the letters on 28 march at 1:30am",
	"ring me set the clocks on 31 october at 1:30am",
	"ring Tom call the vet on 6 june at 11:00",
	"ring Tom order the seed on 14 november",
	"rota dishes daily 7pm: Ivo, Lise, Pim",
	"ring everyone clear the porch on the 31st of every month at 9:30",
}

// rungAt is one time that a bell rings, for comparing.
type rungAt struct {
	bell int
	at   string // an instant, or the date of what belongs to a day
}

// parsed reads a calendar with a reader that did not write it.
func parsed(t *testing.T, content []byte) *ical.Calendar {
	t.Helper()
	cal, err := ical.NewDecoder(bytes.NewReader(content)).Decode()
	require.NoError(t, err)
	return cal
}

// times expands a calendar: when each of its bells rings in (from, to].
func times(t *testing.T, cal *ical.Calendar, from, to time.Time) map[rungAt]int {
	t.Helper()
	out := map[rungAt]int{}
	for _, e := range cal.Events() {
		uid, err := e.Props.Text(ical.PropUID)
		require.NoError(t, err)
		var num int
		if _, err := fmt.Sscanf(uid, "bell-%d", &num); err != nil {
			continue
		}
		start, err := e.DateTimeStart(time.UTC)
		require.NoError(t, err)
		form := time.RFC3339
		if e.Props.Get(ical.PropDateTimeStart).ValueType() == ical.ValueDate {
			form = time.DateOnly
		}
		all := []time.Time{start}
		set, err := e.RecurrenceSet(time.UTC)
		require.NoError(t, err)
		if set != nil {
			all = set.Between(from.AddDate(0, 0, -2), to.AddDate(0, 0, 2), true)
		}
		for _, at := range all {
			if at.After(from.AddDate(0, 0, -1)) && !at.After(to) {
				out[rungAt{num, at.UTC().Format(form)}]++
			}
		}
	}
	return out
}

// rehearsed is the same from the bells themselves.
func (h *home) rehearsed(to time.Time) map[rungAt]int {
	h.t.Helper()
	out := map[rungAt]int{}
	require.NoError(h.t, h.store.Do(h.t.Context(), func(tx *storage.Tx) error {
		home, err := reminders.Load(tx, 1, h.now)
		require.NoError(h.t, err)
		bells, err := tx.ComingBells(1)
		require.NoError(h.t, err)
		planned, err := home.Rehearse(bells, h.now, to)
		require.NoError(h.t, err)
		for _, p := range planned {
			out[rungAt{p.Bell.Num, dueText(p.Due, p.Bell.Daily, home.Zone)}]++
		}
		return nil
	}))
	return out
}

func dueText(due time.Time, daily bool, zone *time.Location) string {
	if daily {
		return reminders.Wall(due, zone).Format(time.DateOnly)
	}
	return due.UTC().Format(time.RFC3339)
}

// rung is the same from the rings of a time that is played, until to, each answered at
// once.
func (h *home) rung(to time.Time) map[rungAt]int {
	h.t.Helper()
	out := map[rungAt]int{}
	answer := func(now time.Time) error {
		return h.store.Do(h.t.Context(), func(tx *storage.Tx) error {
			rings, err := tx.OpenRings(1)
			for _, g := range rings {
				b, _, err := tx.Bell(g.Bell)
				require.NoError(h.t, err)
				out[rungAt{b.Num, dueText(g.Due, b.Daily, h.zone)}]++
				g.Answer, g.Answered, g.Wake = storage.AnswerDone, now, time.Time{}
				require.NoError(h.t, tx.SaveRing(g))
			}
			return err
		})
	}
	require.NoError(h.t, reminders.Play(h.t.Context(), h.store, h.now, to, answer))
	h.now = to
	return out
}

// file returns what a line was answered with as a file.
func (h *home) file(at, who, line string) []byte {
	h.t.Helper()
	replies := h.say(wallTime(h.t, at), who, line)
	require.Len(h.t, replies, 1, line)
	require.Equal(h.t, storage.OK, replies[0].Status, replies[0].Text())
	require.Len(h.t, replies[0].Files, 1, replies[0].Text())
	return replies[0].Files[0].Content
}

func calendarHome(t *testing.T, zone string, bells ...string) *home {
	t.Helper()
	h := homeIn(t, storage.Memory)
	for _, line := range []string{"house zone " + zone, "house evening off", "house again never", "house quiet off"} {
		h.tell("2027-02-20 08:00 " + line)
	}
	var err error
	h.zone, err = time.LoadLocation(zone)
	require.NoError(t, err)
	for _, line := range bells {
		replies := h.say(wallTime(t, "2027-03-01 08:00"), "Maren", line)
		require.Len(t, replies, 1, line)
		require.Equal(t, storage.OK, replies[0].Status, "%s: %s", line, replies[0].Text())
	}
	require.NoError(t, h.store.Do(t.Context(), func(tx *storage.Tx) error { // days of rest, over a clock change
		_, err := tx.Exec(`UPDATE bell SET rest = '2027-03-10 2027-03-16; 2027-10-29 2027-11-01' WHERE title LIKE '%oven%' OR title LIKE '%shelf%' OR title LIKE '%vat%'`)
		return err
	}))
	return h
}

func TestCalendarRingsAsTheBellsDo(t *testing.T) {
	t.Parallel()
	for _, zone := range []string{"Europe/London", "America/Chicago", "UTC", "Australia/Lord_Howe"} {
		t.Run(zone, func(t *testing.T) {
			h := calendarHome(t, zone, everyKindOfBell...)
			cal := parsed(t, h.file("2027-03-01 09:00", "Maren", "calendar"))
			to := h.now.AddDate(1, 0, 0)
			got, want := times(t, cal, h.now, to), h.rehearsed(to)
			require.Greater(t, len(want), 4000)
			requireSame(t, want, got)
		})
	}
}

// requireSame names what two sets of times differ in.
func requireSame(t *testing.T, want, got map[rungAt]int) {
	t.Helper()
	var diff []string
	for r := range maps.Keys(want) {
		if got[r] != want[r] {
			diff = append(diff, fmt.Sprintf("bell %d at %s: %d in the calendar, rings %d times", r.bell, r.at, got[r], want[r]))
		}
	}
	for r := range maps.Keys(got) {
		if want[r] == 0 {
			diff = append(diff, fmt.Sprintf("bell %d at %s: %d in the calendar, never rings", r.bell, r.at, got[r]))
		}
	}
	slices.Sort(diff)
	require.Empty(t, diff[:min(len(diff), 20)], "%d times differ", len(diff))
}

// TestCalendarIsWhatRang plays a year, and holds what rang against the calendar that
// was sent before it.
func TestCalendarIsWhatRang(t *testing.T) {
	t.Parallel()
	oneAtATime(t)
	seldom := slices.DeleteFunc(slices.Clone(everyKindOfBell), func(line string) bool {
		return strings.Contains(line, "every 2 hours") || strings.Contains(line, "twice a day")
	})
	for _, zone := range []string{"Europe/London", "America/Chicago"} {
		t.Run(zone, func(t *testing.T) {
			h := calendarHome(t, zone, seldom...)
			cal := parsed(t, h.file("2027-03-01 09:00", "Maren", "calendar"))
			from, to := h.now, h.now.AddDate(1, 0, 0)
			requireSame(t, h.rung(to), times(t, cal, from, to))
		})
	}
}

// TestCalendarZone holds the clock that the file describes against the zone's own,
// by nothing but the file: hour by hour over ten years.
func TestCalendarZone(t *testing.T) {
	oneAtATime(t)
	for _, name := range []string{"Europe/London", "America/Chicago", "Australia/Lord_Howe", "America/Santiago", "Africa/Casablanca", "Asia/Kolkata", "Europe/Dublin", "America/St_Johns"} {
		t.Run(name, func(t *testing.T) {
			h := newHome(t)
			h.tell("2027-02-20 08:00 house zone " + name)
			zone, err := time.LoadLocation(name)
			require.NoError(t, err)
			h.tell("2027-03-01 08:00 ring me feed the hens daily at 7:15")
			cal := parsed(t, h.file("2027-03-01 09:00", "Maren", "calendar"))
			clock := described(t, cal, name)
			for at := h.now; at.Before(h.now.AddDate(10, 0, 0)); at = at.Add(time.Hour) {
				_, want := at.In(zone).Zone()
				require.Equal(t, want, clock(at), "at %s", at)
			}
		})
	}
}

// described returns the seconds east of UTC by the time zone in a file.
func described(t *testing.T, cal *ical.Calendar, name string) func(time.Time) int {
	t.Helper()
	type change struct {
		at time.Time
		to int
	}
	var all []change
	for _, zone := range cal.Children {
		if zone.Name != ical.CompTimezone {
			continue
		}
		require.Equal(t, name, zone.Props.Get(ical.PropTimezoneID).Value)
		for _, c := range zone.Children {
			start, err := c.Props.DateTime(ical.PropDateTimeStart, time.UTC)
			require.NoError(t, err)
			walls := []time.Time{start}
			set, err := c.RecurrenceSet(time.UTC)
			require.NoError(t, err)
			if set != nil {
				walls = set.Between(start, start.AddDate(13, 0, 0), true)
			}
			for _, w := range walls {
				all = append(all, change{w.Add(-time.Duration(seconds(t, c, ical.PropTimezoneOffsetFrom)) * time.Second), seconds(t, c, ical.PropTimezoneOffsetTo)})
			}
		}
	}
	slices.SortFunc(all, func(a, b change) int { return a.at.Compare(b.at) })
	require.NotEmpty(t, all)
	return func(at time.Time) int {
		is := all[0]
		for _, c := range all {
			if !c.at.After(at) {
				is = c
			}
		}
		return is.to
	}
}

func seconds(t *testing.T, c *ical.Component, prop string) int {
	t.Helper()
	at, err := time.Parse("-0700", c.Props.Get(prop).Value)
	require.NoError(t, err)
	_, offset := at.Zone()
	return offset
}

func TestCalendarTwiceDoublesNothing(t *testing.T) {
	h := calendarHome(t, "Europe/London", everyKindOfBell...)
	uids := func(content []byte) []string {
		var out []string
		for _, e := range parsed(t, content).Events() {
			uid, err := e.Props.Text(ical.PropUID)
			require.NoError(t, err)
			out = append(out, uid)
		}
		slices.Sort(out)
		require.Equal(t, len(out), len(slices.Compact(slices.Clone(out))), "no name twice in one file")
		return out
	}
	first := h.file("2027-03-01 09:00", "Maren", "calendar")
	require.Equal(t, first, h.file("2027-03-01 09:00", "Tom", "calendar"), "the same file at the same time")
	later := uids(h.file("2027-03-01 09:20", "Maren", "calendar"))
	require.Equal(t, uids(first), later)
	h.tell("2027-03-01 09:30 ring the hens at 8 instead")
	moved := h.file("2027-03-01 09:31", "Maren", "calendar")
	require.Equal(t, later, uids(moved), "a bell that moved keeps its name")
	require.Contains(t, string(moved), "DTSTART;TZID=Europe/London:20270302T080000")
	require.Contains(t, string(moved), "DTSTAMP:20270301T093100Z")
	require.NotContains(t, string(moved), "VALARM")
}

func TestCalendarFollowsAHouseholdThatMoved(t *testing.T) {
	h := calendarHome(t, "Europe/London", everyKindOfBell...)
	h.tell("2027-03-02 09:00 house zone America/Chicago")
	h.zone, _ = time.LoadLocation("America/Chicago")
	content := h.file("2027-03-02 09:00", "Maren", "calendar")
	require.NotContains(t, string(content), "Europe/London")
	to := h.now.AddDate(1, 0, 0)
	requireSame(t, h.rehearsed(to), times(t, parsed(t, content), h.now, to))
}

func TestCalendarOfAPerson(t *testing.T) {
	h := calendarHome(t, "Europe/London", everyKindOfBell...)
	text := string(h.file("2027-03-01 09:00", "Maren", "calendar for Ivo"))
	require.Contains(t, text, "X-WR-CALNAME:Household for Ivo")
	require.Contains(t, text, "Feed the hens")
	require.Contains(t, text, "Clear the porch", "what is for everyone is for him too")
	require.NotContains(t, text, "Water the goats")
	cal := parsed(t, []byte(text))
	to := h.now.AddDate(1, 0, 0)
	turns := 0
	for r := range times(t, cal, h.now, to) {
		if r.bell == bellOf(h, "shut the hens") {
			turns++
		}
	}
	require.InDelta(t, 183, turns, 1, "every other evening is his turn")
	require.Equal(t, text, string(h.file("2027-03-01 09:00", "Ivo", "calendar for me")))
}

func bellOf(h *home, title string) (num int) {
	require.NoError(h.t, h.store.Do(h.t.Context(), func(tx *storage.Tx) error {
		_, err := tx.One(`SELECT num FROM bell WHERE title = ?`, []any{title}, &num)
		return err
	}))
	return num
}

func TestCalendarOfSomeWeeks(t *testing.T) {
	h := calendarHome(t, "Europe/London", everyKindOfBell...)
	cal := parsed(t, h.file("2027-03-01 09:00", "Maren", "calendar 4 weeks"))
	end := reminders.Instant(wallTime(h.t, "2027-03-30 00:00"), h.zone).Add(-time.Second)
	requireSame(t, h.rehearsed(end), times(t, cal, h.now, h.now.AddDate(2, 0, 0)))
}

// TestCalendarKeepsWhatIsPrivate looks for what somebody expects, and for accounts.
func TestCalendarKeepsWhatIsPrivate(t *testing.T) {
	h := calendarHome(t, "Europe/London", everyKindOfBell...)
	require.NoError(t, h.store.Do(t.Context(), func(tx *storage.Tx) error { return tx.TieAccount(1, 1, "tg:4711") }))
	h.tell("2027-03-01 08:30 house expecting Edda until 1 june")
	h.tell("2027-03-01 08:31 ring Edda sit up with the kidding goat daily at 23:00")
	for _, line := range []string{"calendar", "calendar for Edda", "calendar for me"} {
		text := strings.ToLower(string(h.file("2027-03-01 09:00", "Maren", line)))
		require.NotContains(t, text, "expect")
		require.NotContains(t, text, "private")
		require.NotContains(t, text, "4711")
	}
	require.Contains(t, string(h.file("2027-03-01 09:00", "Maren", "calendar for Edda")), "kidding goat", "a bell that goes to others for her sake stands as it is written")
	_, err := h.roster.Hear(t.Context(), h.store, handlers.Heard{
		Line: storage.Line{Transport: "test", Ext: "guest", Name: "Ruth", At: h.now, Text: "/calendar"}, Chat: "home", Zone: "Europe/London", Guest: true,
	})
	require.NoError(t, err)
	sent := h.drain()
	require.Len(t, sent, 1)
	require.Equal(t, storage.Refused, sent[0].Status)
	require.Empty(t, sent[0].Files)
}

// TestCalendarHoldsDaysAndPutOffRings: a meal without a time, a date on a pack, a ring put off.
func TestCalendarHoldsDaysAndPutOffRings(t *testing.T) {
	h := newHome(t)
	h.tell("2027-03-01 08:00 meal sunday pea soup for 8")
	h.tell("2027-03-01 08:01 larder 1 kg potatoes best before 1 apr")
	h.tell("2027-03-01 08:02 ring me phone the vet at 8:30")
	h.tell("2027-03-01 08:31 later tomorrow 10:00")
	require.Contains(t, h.tell("2027-03-01 08:32 ring Tom say, \\ \"hello; you\" "+strings.Repeat("näher ", 30)+"tomorrow at 11:00"), "Bell")
	text := string(h.file("2027-03-01 09:00", "Maren", "calendar"))
	require.Contains(t, text, "UID:meal-1.")
	require.Contains(t, text, "DTSTART;VALUE=DATE:20270307")
	require.Contains(t, text, "DTSTART:20270302T100000Z")
	for line := range strings.SplitSeq(text, "\r\n") {
		require.LessOrEqual(t, len(line), 75, "RFC 5545 section 3.1: lines of at most 75 octets")
		require.NotContains(t, line, "\n")
	}
	var titles []string
	for _, e := range parsed(t, []byte(text)).Events() {
		title, err := e.Props.Text(ical.PropSummary)
		require.NoError(t, err)
		titles = append(titles, title)
	}
	require.Contains(t, titles, "Pea soup for 8")
	require.Contains(t, titles, "Use the potatoes, Maren", "what has a bell is in it once")
	require.Len(t, titles, 4, "%q", titles)
	require.True(t, slices.ContainsFunc(titles, func(s string) bool {
		return strings.HasPrefix(s, `Say, \ "hello; you" näher näher`) && strings.HasSuffix(s, "näher, Tom")
	}), "%q", titles)
}
