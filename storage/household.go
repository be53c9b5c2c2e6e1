package storage

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Household is one group chat with its settings.
type Household struct {
	ID        int64
	Chat      string
	Founded   time.Time
	Name      string
	Zone      *time.Location
	US        bool // weighs in ounces
	DayFirst  bool
	ScaleStep float64 // g, or oz for US; 0 means the usual one
	Place     string  // "57.2 -3.7", empty when unknown
	Quiet     Span
	School    Span
	NoSchool  DaySet     // days on which there is none
	AtHome    []int64    // children who are not among the others when those are elsewhere, by their ids
	Rounds    [2]Minutes // morning and afternoon
	Evening   Minutes    // the look at what is left over; negative for none
	Again     string     // the ladder of an unanswered ring, see reminders.ParseLadder; empty for the usual one
	Bare      DaySet     // days on which only care and safety ring
	Behind    Behind     // the rest of a day that moves
	Frost     [2]string  // last and first frost as typed, "28 May"
	FrostEdge [2]string  // the same that one year in ten goes beyond: later in spring, earlier in autumn
	FrostSafe bool       // the garden goes by the dates of one year in ten
	FrostAt   int        // tenths of a degree Celsius that count as frost in a weather file
	Backup    BackupPlan
	Emergency string // numbers to call, as typed; empty for the usual ones
}

// Minutes counts from midnight on the household's clock.
type Minutes int

// String writes 07:00.
func (m Minutes) String() string { return fmt.Sprintf("%02d:%02d", int(m)/60, int(m)%60) }

// Days is a run of dates, both ends in it; zero for none.
type Days struct{ From, To time.Time }

// Has reports whether a date is one of them.
func (d Days) Has(day time.Time) bool {
	return !d.From.IsZero() && !day.Before(d.From) && !day.After(d.To)
}

// String writes the dates as they are kept.
func (d Days) String() string {
	if d.From.IsZero() {
		return "off"
	}
	return d.From.Format(time.DateOnly) + " " + d.To.Format(time.DateOnly)
}

// DaySet is several runs of dates.
type DaySet []Days

// Has reports whether a date is in one of them.
func (d DaySet) Has(day time.Time) bool {
	return slices.ContainsFunc(d, func(run Days) bool { return run.Has(day) })
}

// String writes the runs as they are kept.
func (d DaySet) String() string {
	if len(d) == 0 {
		return "off"
	}
	var out []string
	for _, run := range d {
		out = append(out, run.String())
	}
	return strings.Join(out, "; ")
}

func parseDaySet(s string) (out DaySet, err error) {
	for run := range strings.SplitSeq(s, "; ") {
		d, err := parseDays(run)
		if err != nil {
			return nil, err
		}
		if !d.From.IsZero() {
			out = append(out, d)
		}
	}
	return out, nil
}

// Behind is a day that runs late: what falls due between two instants is said
// that much later.
type Behind struct {
	From, To time.Time
	By       time.Duration
}

// String writes it as it is kept: "2027-03-01T09:00:00Z 2027-03-02T00:00:00Z 1h0m0s".
func (b Behind) String() string {
	return fmt.Sprintf("%s %s %s", b.From.UTC().Format(time.RFC3339), b.To.UTC().Format(time.RFC3339), b.By)
}

func parseBehind(s string) (b Behind, err error) {
	var from, to, by string
	if _, err := fmt.Sscan(s, &from, &to, &by); err != nil {
		return b, err
	}
	if b.From, err = time.Parse(time.RFC3339, from); err != nil {
		return b, err
	}
	if b.To, err = time.Parse(time.RFC3339, to); err != nil {
		return b, err
	}
	b.By, err = time.ParseDuration(by)
	return b, err
}

func parseDays(s string) (d Days, err error) {
	if s == "off" {
		return d, nil
	}
	from, to, _ := strings.Cut(s, " ")
	if d.From, err = time.Parse(time.DateOnly, from); err != nil {
		return d, err
	}
	d.To, err = time.Parse(time.DateOnly, to)
	return d, err
}

// Span is a stretch of the day [From, To) on the clock, which may wrap
// midnight, on the given weekdays (all when none are set). On is false when the
// span is not in use.
type Span struct {
	On       bool
	From, To Minutes
	Weekdays bool // Monday to Friday only
}

// String writes the span as it is typed.
func (s Span) String() string {
	if !s.On {
		return "off"
	}
	text := s.From.String() + "-" + s.To.String()
	if s.Weekdays {
		return "weekdays " + text
	}
	return text
}

// Setting keys. Values are written so that a person reading the file
// understands them.
const (
	SetName      = "name"
	SetEmergency = "emergency"
	SetZone      = "zone"
	SetUnits     = "units"
	SetDates     = "dates"
	SetScale     = "scale"
	SetPlace     = "place"
	SetQuiet     = "quiet"
	SetSchool    = "school"
	SetNoSchool  = "no school"
	SetAtHome    = "at home"
	SetMorning   = "morning"
	SetAfternoon = "afternoon"
	SetEvening   = "evening"
	SetAgain     = "again"
	SetBare      = "bare"
	SetBehind    = "behind"
	SetBackup    = "backup"
	SetFolder    = "backup folder"
	SetKeep      = "backups kept"
	SetBackupTo  = "backup sent to"
	SetLastFrost = "last frost"
	SetFirst     = "first frost"
	SetLastEdge  = "last frost, 1 year in 10"
	SetFirstEdge = "first frost, 1 year in 10"
	SetFrostRisk = "frost risk"
	SetFrostAt   = "frost at"
)

// Found makes a household for a chat with its first keeper.
func (tx *Tx) Found(chat, zone, keeper string, now time.Time) (int64, error) {
	id, err := tx.Insert(`INSERT INTO household (chat, founded) VALUES (?, ?)`, chat, now.Unix())
	if err != nil {
		return 0, err
	}
	if err := tx.Set(id, SetZone, zone); err != nil {
		return 0, err
	}
	_, err = tx.AddPerson(Person{Household: id, Name: keeper, Keeper: true})
	return id, err
}

// Set writes a setting.
func (tx *Tx) Set(household int64, key, value string) error {
	_, err := tx.Exec(`INSERT INTO setting (household, key, value) VALUES (?, ?, ?)
		ON CONFLICT (household, key) DO UPDATE SET value = excluded.value`, household, key, value)
	return err
}

// Setting returns what a desk keeps under a key of its own, empty for nothing.
func (tx *Tx) Setting(household int64, key string) (value string, err error) {
	_, err = tx.One(`SELECT value FROM setting WHERE household = ? AND key = ?`, []any{household, key}, &value)
	return value, err
}

// HouseholdNumber returns the number of a chat's household, also by a number that
// the chat had before.
func (tx *Tx) HouseholdNumber(chat string) (id int64, ok bool, err error) {
	ok, err = tx.One(`SELECT id FROM household WHERE chat = ? UNION ALL SELECT household FROM formerly WHERE chat = ? LIMIT 1`, []any{chat, chat}, &id)
	return id, ok, err
}

// HouseholdOf returns the household of a chat.
func (tx *Tx) HouseholdOf(chat string) (Household, bool, error) {
	id, err := Kept(tx, numberOf(chat), func() (id int64, err error) {
		id, _, err = tx.HouseholdNumber(chat)
		return id, err
	})
	if err != nil || id == 0 {
		return Household{}, false, err
	}
	h, err := tx.Household(id)
	return h, true, err
}

// What a chat's household and what a household with its settings are kept by.
type (
	numberOf    string
	householdOf int64
)

// Households returns the ids of all households in the file.
func (tx *Tx) Households() ([]int64, error) {
	return collect(tx, scanID, `SELECT id FROM household ORDER BY id`)
}

func scanID(r scanner) (int64, error) {
	var id int64
	return id, r.Scan(&id)
}

// Household returns a household with its settings.
func (tx *Tx) Household(id int64) (Household, error) {
	return Kept(tx, householdOf(id), func() (Household, error) { return tx.readHousehold(id) })
}

func (tx *Tx) readHousehold(id int64) (Household, error) {
	h := Household{ID: id, Zone: time.UTC, DayFirst: true, Rounds: [2]Minutes{7 * 60, 16 * 60}, Evening: 19*60 + 30, Backup: BackupPlan{Keep: UsualKeep}}
	var founded int64
	ok, err := tx.One(`SELECT chat, founded FROM household WHERE id = ?`, []any{id}, &h.Chat, &founded)
	if err != nil {
		return h, err
	}
	h.Founded = time.Unix(founded, 0).UTC()
	if !ok {
		return h, fmt.Errorf("no household %d", id)
	}
	type pair struct{ key, value string }
	pairs, err := collect(tx, func(r scanner) (pair, error) {
		var p pair
		return p, r.Scan(&p.key, &p.value)
	}, `SELECT key, value FROM setting WHERE household = ?`, id)
	if err != nil {
		return h, err
	}
	for _, p := range pairs {
		if err := h.apply(p.key, p.value); err != nil {
			return h, fmt.Errorf("household %d, setting %s: %w", id, p.key, err)
		}
	}
	return h, nil
}

func (h *Household) apply(key, value string) (err error) {
	switch key {
	case SetEmergency:
		h.Emergency = value
	case SetName:
		h.Name = value
	case SetZone:
		h.Zone, err = loadZone(value)
	case SetUnits:
		h.US = value == "us"
	case SetDates:
		h.DayFirst = value != "month-first"
	case SetScale:
		h.ScaleStep, err = strconv.ParseFloat(value, 64)
	case SetPlace:
		h.Place = value
	case SetQuiet:
		h.Quiet, err = ParseSpan(value)
	case SetSchool:
		h.School, err = ParseSpan(value)
	case SetNoSchool:
		h.NoSchool, err = parseDaySet(value)
	case SetAtHome:
		h.AtHome = parseIDs(value)
	case SetMorning:
		h.Rounds[0], err = parseMinutes(value)
	case SetAfternoon:
		h.Rounds[1], err = parseMinutes(value)
	case SetEvening:
		if h.Evening = -1; value != "off" {
			h.Evening, err = parseMinutes(value)
		}
	case SetAgain:
		h.Again = value
	case SetBare:
		h.Bare, err = parseDaySet(value)
	case SetBehind:
		h.Behind, err = parseBehind(value)
	case SetBackup:
		if h.Backup.Schedule = value; value == "off" {
			h.Backup.Schedule = ""
		}
	case SetFolder:
		h.Backup.Folder = value
	case SetKeep:
		h.Backup.Keep, err = strconv.Atoi(value)
	case SetBackupTo:
		h.Backup.To, err = strconv.ParseInt(value, 10, 64)
	case SetLastFrost:
		h.Frost[0] = value
	case SetFirst:
		h.Frost[1] = value
	case SetLastEdge:
		h.FrostEdge[0] = value
	case SetFirstEdge:
		h.FrostEdge[1] = value
	case SetFrostRisk:
		h.FrostSafe = value == "safe"
	case SetFrostAt:
		h.FrostAt, err = strconv.Atoi(value)
	}
	return err
}

// ParseSpan reads what Span.String writes.
func ParseSpan(s string) (Span, error) {
	if s == "off" {
		return Span{}, nil
	}
	rest, weekdays := strings.CutPrefix(s, "weekdays ")
	from, to, ok := strings.Cut(rest, "-")
	if !ok {
		return Span{}, fmt.Errorf("span %q", s)
	}
	f, err := parseMinutes(from)
	if err != nil {
		return Span{}, err
	}
	t, err := parseMinutes(to)
	return Span{On: true, From: f, To: t, Weekdays: weekdays}, err
}

// SetHome writes down which children count as at home while the others are elsewhere.
func (tx *Tx) SetHome(household int64, ids []int64) error {
	return tx.Set(household, SetAtHome, joinIDs(ids))
}

func parseMinutes(s string) (Minutes, error) {
	t, err := time.Parse("15:04", s)
	if err != nil {
		return 0, err
	}
	return Minutes(t.Hour()*60 + t.Minute()), nil
}

// NextNumber returns the next number that people of the household see on a bell
// or a ring.
func (tx *Tx) NextNumber(household int64) (int, error) {
	var n int
	_, err := tx.One(`UPDATE household SET numbers = numbers + 1 WHERE id = ? RETURNING numbers`, []any{household}, &n)
	return n, err
}
