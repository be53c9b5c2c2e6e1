package reminders_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"regexp"
	"slices"
	"sort"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/reminders"
	"yardbell/storage"
)

// people of the proof, in the order in which they are added.
var household = []string{"Maren", "Tom", "Edda", "Ivo", "Lise"}

const (
	maren = iota + 1
	tom
	edda
	ivo
	lise
)

func onDays(days ...time.Weekday) func(time.Time) bool {
	return func(d time.Time) bool { return slices.Contains(days, d.Weekday()) }
}

func daily(time.Time) bool { return true }

// every reports the days that are a number of days apart, from a first one.
func every(n int, first string) func(time.Time) bool {
	start := wall(first + " 00:00")
	return func(d time.Time) bool { return !d.Before(start) && int(d.Sub(start).Hours()/24)%n == 0 }
}

func lastOfMonth(d time.Time) bool { return d.AddDate(0, 0, 1).Day() == 1 }

func lastFriday(d time.Time) bool {
	return d.Weekday() == time.Friday && d.AddDate(0, 0, 7).Month() != d.Month()
}

// fullYear is sixty bells of every kind, with what the model is told of them.
func fullYear(y *year) []kind {
	var out []kind
	add := func(k kind, whom string, rec reminders.Recurrence, first string) {
		k.bell.Title = fmt.Sprintf("bell %d %s", len(out), rec.Freq)
		k.bell.Whom = whom
		if k.bell.Useful == 0 {
			k.bell.Useful = 36 * time.Hour
		}
		if rec.Freq != "" {
			rec.Start = wall(first)
			k.bell.Schedule = rec.Spec()
		}
		k.bell.Remain = k.times
		if !k.until.IsZero() {
			k.bell.Until = y.instant(k.until.Add(24*time.Hour - time.Minute))
		}
		if due := y.dues(k); len(due) > 0 {
			k.bell.Next = due[0]
		}
		out = append(out, k)
	}
	who := []struct {
		whom string
		to   []string
	}{
		{reminders.People(maren), []string{"Maren"}},
		{reminders.People(ivo), []string{"Ivo"}},
		{reminders.People(ivo, lise), []string{"Ivo", "Lise"}},
		{reminders.Keepers, []string{"Maren", "Tom"}},
		{reminders.Everyone, household},
		{reminders.People(edda), []string{"Edda"}},
	}
	for i := range 24 { // every day, at odd hours too: those that a clock change skips or doubles
		m := []int{90, 100, 150, 390, 420, 425, 480, 540, 720, 960, 1020, 1080, 1230, 1290, 1320, 1410}[i%16]
		w := who[i%len(who)]
		k := kind{on: daily, at: []int{m}, to: w.to}
		k.bell.Care, k.bell.Safety = i%4 == 1, i == 20
		if i%8 == 5 {
			k.bell.Useful = 2 * time.Hour
		}
		add(k, w.whom, reminders.Recurrence{Freq: "DAILY", Interval: 1}, fmt.Sprintf("2027-01-01 %02d:%02d", m/60, m%60))
	}
	for i := range 8 {
		w := who[i%len(who)]
		days := []time.Weekday{time.Weekday(i % 7), time.Weekday((i + 3) % 7)}
		add(kind{on: onDays(days...), at: []int{8 * 60}, to: w.to}, w.whom, reminders.Recurrence{Freq: "WEEKLY", Interval: 1, Days: days}, "2027-01-01 08:00")
	}
	for i := range 4 { // every other saturday, every third day, counted from a first one
		w := who[i%len(who)]
		add(kind{on: every(14, "2027-01-02"), at: []int{9*60 + i}, to: w.to}, w.whom,
			reminders.Recurrence{Freq: "WEEKLY", Interval: 2, Days: []time.Weekday{time.Saturday}}, fmt.Sprintf("2027-01-02 09:%02d", i))
		add(kind{on: every(3, "2027-01-04"), at: []int{90 + i}, to: w.to}, w.whom, reminders.Recurrence{Freq: "DAILY", Interval: 3}, fmt.Sprintf("2027-01-04 01:%02d", 30+i))
	}
	add(kind{on: lastFriday, at: []int{18 * 60}, to: []string{"Tom"}}, reminders.People(tom), reminders.Recurrence{Freq: "MONTHLY", Interval: 1, Days: []time.Weekday{5}, Nth: -1}, "2027-01-01 18:00")
	add(kind{on: lastOfMonth, at: []int{20 * 60}, to: []string{"Tom"}}, reminders.People(tom), reminders.Recurrence{Freq: "MONTHLY", Interval: 1, MonthDays: []int{-1}}, "2027-01-01 20:00")
	add(kind{on: func(d time.Time) bool { return d.Day() == 31 }, at: []int{8 * 60}, to: []string{"Edda"}}, reminders.People(edda),
		reminders.Recurrence{Freq: "MONTHLY", Interval: 1, MonthDays: []int{31}}, "2027-01-01 08:00")
	for i := range 3 { // an end: a number of times, a last day
		add(kind{on: daily, at: []int{7*60 + i}, to: []string{"Lise"}, times: 50 + 40*i}, reminders.People(lise), reminders.Recurrence{Freq: "DAILY", Interval: 1}, fmt.Sprintf("2027-01-01 07:%02d", i))
		add(kind{on: daily, at: []int{7*60 + i}, to: []string{"Lise"}, until: wall("2027-03-28 00:00").AddDate(0, 2*i, 0)}, reminders.People(lise),
			reminders.Recurrence{Freq: "DAILY", Interval: 1}, fmt.Sprintf("2027-01-01 07:%02d", i))
	}
	for i := range 3 { // they take turns
		add(kind{on: daily, at: []int{7*60 + 30 + i}, to: []string{"Ivo", "Lise", "Edda"}, turn: true}, reminders.InTurn(ivo, lise, edda),
			reminders.Recurrence{Freq: "DAILY", Interval: 1}, fmt.Sprintf("2027-01-01 07:%02d", 30+i))
	}
	for i := range 2 { // by turns with a step more each week: twice a day, and three days of the week
		k := kind{on: daily, at: []int{9 * 60, 17 * 60}, to: []string{"Ivo", "Lise"}, turn: true, extra: 1}
		specs := []string{reminders.Recurrence{Freq: "DAILY", Interval: 1, Start: wall("2027-01-01 09:00")}.Spec(), reminders.Recurrence{Freq: "DAILY", Interval: 1, Start: wall("2027-01-01 17:00")}.Spec()}
		if i == 1 {
			days := []time.Weekday{time.Monday, time.Wednesday, time.Friday}
			k = kind{on: onDays(days...), at: []int{15 * 60}, to: []string{"Ivo", "Lise", "Edda"}, turn: true, extra: 1}
			specs = []string{reminders.Recurrence{Freq: "WEEKLY", Interval: 1, Days: days, Start: wall("2027-01-01 15:00")}.Spec()}
		}
		add(k, map[bool]string{false: reminders.InTurnBy(1, ivo, lise), true: reminders.InTurnBy(1, ivo, lise, edda)}[i == 1], reminders.Recurrence{}, "")
		b := &out[len(out)-1].bell
		b.Schedule, b.Title = reminders.Several(specs...), fmt.Sprint("by turns and weeks ", i)
	}
	for i := range 2 { // twice a day
		k := kind{on: daily, at: []int{8 * 60, 18 * 60}, to: []string{"Maren"}}
		add(k, reminders.People(maren), reminders.Recurrence{}, "")
		b := &out[len(out)-1].bell
		b.Schedule = reminders.Several(reminders.Recurrence{Freq: "DAILY", Interval: 1, Start: wall("2027-01-01 08:00")}.Spec(), reminders.Recurrence{Freq: "DAILY", Interval: 1, Start: wall("2027-01-01 18:00")}.Spec())
		b.Title = fmt.Sprint("twice a day ", i)
	}
	k := kind{from: y.from.Add(10 * time.Hour), step: 5 * time.Hour, to: []string{"Tom"}}
	k.bell.Elapsed = true
	add(k, reminders.People(tom), reminders.Recurrence{Freq: "HOURLY", Interval: 5}, y.from.Add(10*time.Hour).In(y.zoneBefore).Format("2006-01-02 15:04"))
	for i := range 100 {
		if len(out) == 60 {
			break
		}
		k := kind{once: wall("2027-01-10 17:00").AddDate(0, 0, 41*i), to: []string{"Maren"}}
		if i%2 == 1 {
			k = kind{from: y.from.Add(time.Duration(1000*i) * time.Hour), to: []string{"Maren", "Tom"}}
			k.bell.Elapsed = true
		}
		add(k, map[bool]string{true: reminders.Keepers, false: reminders.People(maren)}[i%2 == 1], reminders.Recurrence{}, "")
	}
	return out
}

// theYear has both clock changes, a move across the ocean, two outages of days,
// shorter ones, a week in which Ivo is away, and a bare day.
func theYear(t require.TestingT) *year {
	y := &year{from: wall("2027-01-01 00:00"), to: wall("2027-12-30 00:00"), moved: wall("2027-07-10 12:00")}
	y.zoneBefore, y.zoneAfter = zone(t, "Europe/London"), zone(t, "America/Chicago")
	y.before = listMinutes(y.zoneBefore, y.from.AddDate(0, 0, -3), y.to.AddDate(0, 0, 5))
	y.after = listMinutes(y.zoneAfter, y.from.AddDate(0, 0, -3), y.to.AddDate(0, 0, 5))
	y.quiet = [2]int{21*60 + 30, 6 * 60}
	y.bare = wall("2027-05-11 00:00")
	y.away, y.awayFrom, y.awayUntil = "Ivo", wall("2027-06-01 12:00"), wall("2027-06-08 12:00")
	y.keepers = []string{"Maren", "Tom"}
	y.outages = [][2]time.Time{
		{wall("2027-02-10 05:00"), wall("2027-02-13 10:00")},
		{wall("2027-09-01 22:00"), wall("2027-09-04 15:30")},
		{wall("2027-03-28 00:30"), wall("2027-03-28 03:00")},
		{wall("2027-11-07 05:10"), wall("2027-11-07 08:00")},
	}
	return y
}

// proof plays the year on a real file.
type proof struct {
	t     *testing.T
	y     *year
	rnd   *rand.Rand
	path  string
	s     *storage.Store
	house int64
	now   time.Time
	wrong bool // the machine's clock shows a false time
	heard map[int64]bool
	told  map[int]map[string]int // ring -> who was told, how often
	twice int
	died  int
}

func (p *proof) do(fn func(tx *storage.Tx) error) {
	p.t.Helper()
	require.NoError(p.t, p.s.Do(ctx, fn))
}

func (p *proof) open() {
	s, err := storage.Open(ctx, p.path)
	require.NoError(p.t, err)
	p.s = s
}

// crash drops everything but the file.
func (p *proof) crash() {
	p.died++
	require.NoError(p.t, p.s.Close())
	p.open()
}

var errPowerCut = errors.New("power cut")

var ringNumber = regexp.MustCompile(`\((\d+)\)`)

// tick lets what is due ring, hands it out and answers it, and dies on the way
// when it is told to: before the commit, before sending, or before the mark.
func (p *proof) tick(die int) {
	if die == 1 {
		err := p.s.Do(ctx, func(tx *storage.Tx) error {
			_, err := reminders.Tick(tx, p.now)
			require.NoError(p.t, err)
			return errPowerCut
		})
		require.ErrorIs(p.t, err, errPowerCut)
		p.crash()
	}
	for more := true; more; {
		p.do(func(tx *storage.Tx) (err error) {
			more, err = reminders.Tick(tx, p.now)
			return err
		})
	}
	if die == 2 {
		p.crash()
	}
	p.send(die != 3)
	if die == 3 {
		p.crash()
		p.send(true)
	}
	if !p.wrong {
		p.answer()
	}
}

func (p *proof) send(mark bool) {
	p.do(func(tx *storage.Tx) error {
		posted, err := tx.Unsent(p.house, storage.Which{}, 10_000)
		for _, m := range posted {
			if mark {
				require.NoError(p.t, tx.MarkSent(m, "", p.now))
			}
			if p.heard[m.ID] {
				p.twice++
				continue
			}
			p.heard[m.ID] = true
			if m.Message.Kind != storage.KindRing || p.wrong {
				continue
			}
			for _, n := range ringNumber.FindAllStringSubmatch(m.Message.Text(), -1) {
				num, err := strconv.Atoi(n[1])
				require.NoError(p.t, err)
				if p.told[num] == nil {
					p.told[num] = map[string]int{}
				}
				p.told[num][m.Message.To]++
			}
		}
		return err
	})
}

// answer says done to all that has been said, as people would at once.
func (p *proof) answer() {
	p.do(func(tx *storage.Tx) error {
		open, err := tx.OpenRings(p.house)
		for _, g := range open {
			if g.Said > 0 {
				g.Wake, g.Answer, g.Answered, g.AnsweredBy = time.Time{}, storage.AnswerDone, p.now, maren
				require.NoError(p.t, tx.SaveRing(g))
			}
		}
		return err
	})
}

func (p *proof) found(bells []kind) {
	p.do(func(tx *storage.Tx) (err error) {
		p.house, err = tx.Found("home", "Europe/London", "Maren", p.y.from)
		require.NoError(p.t, err)
		for i, name := range household[1:] {
			_, err := tx.AddPerson(storage.Person{Household: p.house, Name: name, Keeper: i == 0})
			require.NoError(p.t, err)
		}
		for _, set := range [][2]string{{storage.SetQuiet, "21:30-06:00"}, {storage.SetBare, p.y.bare.Format(time.DateOnly) + " " + p.y.bare.Format(time.DateOnly)}} {
			require.NoError(p.t, tx.Set(p.house, set[0], set[1]))
		}
		require.NoError(p.t, tx.AddAbsence(storage.Absence{Household: p.house, Person: ivo, Kind: storage.Away, Since: p.y.awayFrom, Until: p.y.awayUntil}))
		for _, k := range bells {
			k.bell.Household, k.bell.Made = p.house, p.y.from
			_, err := tx.AddBell(k.bell)
			require.NoError(p.t, err)
		}
		return nil
	})
}

// event is something that happens at an instant besides rings.
type event struct {
	at time.Time
	do func()
}

func (p *proof) events() []event {
	var out []event
	for _, o := range p.y.outages {
		out = append(out, event{o[0], func() { p.crash(); p.now = o[1]; p.tick(0) }})
	}
	out = append(out,
		event{p.y.moved, func() {
			p.do(func(tx *storage.Tx) error {
				was, err := tx.Household(p.house)
				require.NoError(p.t, err)
				require.NoError(p.t, tx.Set(p.house, storage.SetZone, "America/Chicago"))
				is, err := tx.Household(p.house)
				require.NoError(p.t, err)
				return reminders.Resettle(tx, was, is, p.now)
			})
		}},
	)
	for i, at := range []string{"2027-04-14 11:07", "2027-10-20 03:11"} { // a wrong clock at boot, put right by the network two minutes later
		a := wall(at)
		back := a.Add(2 * time.Minute)
		p.y.outages = append(p.y.outages, [2]time.Time{a, back})
		out = append(out, event{a, func() {
			p.crash()
			p.wrong, p.now = true, a.AddDate(0, 5+9*i, 1)
			p.tick(0)
			p.wrong, p.now = false, back
			p.crash()
			p.tick(0)
		}})
	}
	for _, at := range []string{"2027-04-20 09:00", "2027-08-08 17:00"} { // set back by a minute and a half
		out = append(out, event{wall(at).Add(30 * time.Second), func() {
			p.tick(0)
			p.now = p.now.Add(-90 * time.Second)
			p.tick(0)
			p.now = p.now.Add(90 * time.Second)
		}})
	}
	sort.Slice(out, func(i, j int) bool { return out[i].at.Before(out[j].at) })
	return out
}

// play runs the year, dying forty times by the seed.
func (p *proof) play() {
	events := p.events()
	deaths := map[int]int{}
	for len(deaths) < 40 {
		deaths[p.rnd.IntN(8000)] = 1 + p.rnd.IntN(3)
	}
	p.now = p.y.from
	died := 0
	defer func() { require.Equal(p.t, 40, died, "every death was died") }()
	for n := 0; ; n++ {
		var next time.Time
		p.do(func(tx *storage.Tx) (err error) {
			next, err = reminders.Next(tx, p.now)
			return err
		})
		switch {
		case len(events) > 0 && (next.IsZero() || !next.Before(events[0].at)):
			if p.now.Before(events[0].at) {
				p.now = events[0].at
			}
			events[0].do()
			events = events[1:]
			continue
		case next.IsZero() || !next.Before(p.y.to):
			return
		case next.After(p.now):
			p.now = next
		}
		before := p.died
		p.tick(deaths[n])
		died += p.died - before
	}
}

// rung lists what was rung and told, from the rings and from the messages.
func (p *proof) rung(titles map[int64]string) (all []rung, count map[string]int) {
	count = map[string]int{}
	p.do(func(tx *storage.Tx) error {
		rings, err := tx.RingsSince(time.Time{})
		for _, g := range rings {
			count[g.Answer]++
			if g.Said == 0 {
				continue
			}
			require.Equal(p.t, 1, g.Said, "said again though it was answered at once: %v", g)
			for who, n := range p.told[g.Num] {
				require.Equal(p.t, 1, n, "told %d times to %s: %v", n, who, g)
				all = append(all, rung{titles[g.Bell], g.Due, g.LastSaid, who})
			}
		}
		var passed int
		entries, bookErr := tx.Book(p.house, storage.BookQuery{Limit: 100_000})
		require.NoError(p.t, bookErr)
		for _, e := range entries {
			var n int
			if _, scanErr := fmt.Sscanf(e.Text, "missed %d ring", &n); scanErr == nil {
				passed += n
			}
		}
		count["passed"] = passed
		return err
	})
	return all, count
}

// TestAYearOfRings: sixty bells of every kind through a year with both clock
// changes, a move to another zone, outages, wrong clocks, an absence, a bare day
// and forty crashes. The model says what has to ring; none may be missing, none
// doubled, none early, late or told to another.
func TestAYearOfRings(t *testing.T) {
	if testing.Short() {
		t.Skip("a year takes ten seconds; the race detector has other tests of the same code")
	}
	for seed := range uint64(1) {
		t.Run(fmt.Sprint("seed", seed), func(t *testing.T) {
			t.Parallel()
			y := theYear(t)
			bells := fullYear(y)
			require.Len(t, bells, 60)
			p := &proof{t: t, y: y, rnd: rand.New(rand.NewPCG(seed, 60)), path: filepath.Join(t.TempDir(), "house.db"), heard: map[int64]bool{}, told: map[int]map[string]int{}}
			p.open()
			p.found(bells)
			p.play()
			titles := map[int64]string{}
			var want []rung
			var passed, merged, missed int
			for i, k := range bells {
				titles[int64(i+1)] = k.bell.Title
				rings, a, b, c := y.predict(k)
				want, passed, merged, missed = append(want, rings...), passed+a, merged+b, missed+c
			}
			got, count := p.rung(titles)
			compare(t, want, got)
			require.Equal(t, missed, count[storage.AnswerMissed], "missed")
			require.Equal(t, merged, count[storage.AnswerMerged], "replaced by a later one")
			t.Logf("%d rings told, %d replaced while held back, %d missed, %d passed over; %d messages said twice by %d crashes", len(got), merged, missed, passed, p.twice, 40)
			require.NoError(t, p.s.Close())
		})
	}
}

// compare shows the first differences, not twenty thousand lines.
func compare(t *testing.T, want, got []rung) {
	t.Helper()
	key := func(r rung) string {
		return fmt.Sprintf("%s due %s said %s to %s", r.Title, r.Due.Format("01-02 15:04"), r.Said.Format("01-02 15:04"), r.To)
	}
	left := map[string]int{}
	for _, r := range want {
		left[key(r)]++
	}
	var doubled []string
	for _, r := range got {
		if left[key(r)]--; left[key(r)] < 0 {
			doubled = append(doubled, key(r))
		}
	}
	var missing []string
	for k, n := range left {
		if n > 0 {
			missing = append(missing, k)
		}
	}
	sort.Strings(missing)
	sort.Strings(doubled)
	first := func(s []string) string { return strings.Join(s[:min(len(s), 12)], "\n") }
	require.Empty(t, missing, "%d missing, %d not foreseen:\n%s\nnot foreseen:\n%s", len(missing), len(doubled), first(missing), first(doubled))
	require.Empty(t, doubled, "%d doubled or not foreseen:\n%s", len(doubled), first(doubled))
}
