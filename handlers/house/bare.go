package house

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// bareAsks are the ways to say that a day does not go as planned.
func bareAsks() []desk.Ask {
	days := []phrase.Kind{phrase.KindDate, phrase.KindDays, phrase.KindBad}
	dog := []string{"ring me brush the dog's coat daily at 21:00"}
	return []desk.Ask{
		{
			Name: "bare", Command: "bare", Keeper: true, Kinds: days, Help: "a bare day: animals, meals, medicine and safety ring, all else waits",
			Forms: []string{"^bare$", "^bare", "^bare day|days", "* bare day$", "* bare day"}, Fill: []string{"day", "days", "not", "a", "after", "all", "week", "off", "over", "it's", "its", "make", "today's", "only", "no", "more", "end", "stop"},
			Examples: []desk.Example{{Line: "bare day"}, {Setup: []string{"ring me phone the bank at 21:00"}, Line: "bare today"}, {Setup: []string{"bare day"}, Line: "bare off"}},
			Plain:    plainBare, Do: bare,
		},
		{
			Name: "behind", Command: "bare", Keeper: true, Kinds: []phrase.Kind{phrase.KindDuration, phrase.KindBad}, Help: "the day runs behind: what is left of today moves",
			Forms: []string{"* behind$", "^behind", "* behind today$", "running * late$", "^everything * late|later"}, Needs: []desk.Need{{Kind: phrase.KindDuration}}, Fill: []string{"running", "we're", "all", "today", "about", "day", "everything", "is"},
			Examples: []desk.Example{{Setup: dog, Line: "an hour behind"}, {Line: "we're running 40 min behind"}},
			Plain: func(req *desk.Request) bool {
				if strings.Contains(req.Form, "late") && !req.Mentions("we're", "we", "everything", "all", "day") {
					return false // one who runs late is not the day
				}
				return !asksDay(req) && !req.Mentions("he", "she", "they", "i", "i'm", "you", "was", "is", "far", "left")
			},
			Do: behind,
		},
		{
			Name: "behind", Command: "bare", Keeper: true, Help: "the day is on time again", Kinds: []phrase.Kind{phrase.KindDate},
			Forms: []string{"caught up", "back on time|schedule|track", "on time again", "not behind", "no longer|more behind"}, Fill: []string{"we've", "we", "have", "had", "are", "we're", "all", "back", "on", "time", "again", "now", "any", "more", "after", "up", "caught", "today", "schedule", "track", "not", "no", "longer", "behind"},
			Examples: []desk.Example{{Setup: []string{"block supper 18:00-19:00 everyone", "an hour behind"}, Line: "we've caught up"}},
			Plain: func(req *desk.Request) bool {
				return !asksDay(req) && runsBehind(req) && !req.Mentions("i", "i'm", "he", "she", "they", "you")
			}, Do: onTime,
		},
	}
}

// asksDay reports a question about the day: "is it a bare day", "are we an hour behind".
func asksDay(req *desk.Request) bool {
	words := phrase.Words(req.Text)
	return strings.Contains(req.Text, "?") || len(words) > 0 && slices.Contains([]string{"is", "are", "isn't", "aren't", "will", "should", "could", "can", "shall", "do", "does"}, words[0])
}

func plainBare(req *desk.Request) bool {
	if asksDay(req) || req.Mentions("was", "were", "if", "the") {
		return false
	}
	when := len(req.Reading.Of(phrase.KindDays)) + len(req.Reading.Of(phrase.KindDate))
	return req.Mentions("day", "days", "off", "week") || when > 0 || len(phrase.Words(req.Text)) == 1
}

// bare makes days bare, or ends that.
func bare(req *desk.Request) (desk.Reply, error) {
	if reply, is := bad(req); is {
		return reply, nil
	}
	today := reminders.Day(req.Wall)
	if req.Mentions("off", "over", "end", "stop", "no", "not") {
		if len(toCome(req.House.Bare, today)) == 0 {
			return desk.Answer("No day is bare."), nil
		}
		reply, err := set(req, storage.SetBare, "off", "no day is bare any more")
		if err != nil {
			return reply, err
		}
		return req.Roster.Relay(req, reply)
	}
	d := storage.Days{From: today, To: today}
	if req.Mentions("week") {
		d.To = today.AddDate(0, 0, 6)
	}
	if from, to, said := daysSaid(req, today); said {
		d = storage.Days{From: from, To: to}
	}
	if d.To.Before(today) || d.To.Before(d.From) {
		return desk.Refuse("That day is over. Nothing was changed."), nil
	}
	if d.To.Sub(d.From) > 31*24*time.Hour {
		return desk.AskBack("That is more than a month. Bare days are for a few days: bare until friday"), nil
	}
	text := sayDays(req, d)
	all := append(toCome(req.House.Bare, today), d)
	reply, err := set(req, storage.SetBare, all.String(), text+": animals, meals, medicine and safety ring, all else waits")
	if err != nil {
		return reply, err
	}
	req.House.Bare = all
	lines, err := cost(req, d)
	reply.Lines = lines
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	if err != nil {
		return reply, err
	}
	return req.Roster.Relay(req, reply)
}

// toCome drops the runs of days that are over.
func toCome(all storage.DaySet, today time.Time) storage.DaySet {
	return slices.DeleteFunc(slices.Clone(all), func(d storage.Days) bool { return d.To.Before(today) })
}

func sayDays(req *desk.Request, d storage.Days) string {
	say := func(t time.Time) string { return reminders.SayDay(t, req.Wall, req.House.DayFirst) }
	if d.From.Equal(d.To) {
		return say(d.From) + " is a bare day"
	}
	return say(d.From) + " to " + say(d.To) + " are bare days"
}

// cost says once what a bare day moves, and what waiting costs.
func cost(req *desk.Request, d storage.Days) ([]string, error) {
	home, err := req.Home()
	if err != nil {
		return nil, err
	}
	bells, err := req.Tx.ComingBells(req.House.ID)
	if err != nil {
		return nil, err
	}
	from, end := later(req.Now, req.Instant(d.From)), req.Instant(d.To.AddDate(0, 0, 1))
	var slides, drops []string
	for _, b := range bells {
		if b.Safety || b.Care || !b.Next.Before(end) {
			continue
		}
		on, _, _, err := home.Advance(b, end.Add(-time.Second)) // the last of those days
		if err != nil {
			return nil, err
		}
		if on.Before(from) {
			continue
		}
		c := home.Call(b, b.Whom, on)
		text := b.Title
		if b.Cost != "" {
			text += " (" + b.Cost + ")"
		}
		if c.At.Sub(on) > b.Useful {
			drops = append(drops, text)
			continue
		}
		slides = append(slides, text)
	}
	open, err := req.Tx.OpenRings(req.House.ID)
	if err != nil {
		return nil, err
	}
	for _, g := range open {
		b, _, err := req.Tx.Bell(g.Bell)
		if err != nil {
			return nil, err
		}
		if !b.Safety && !b.Care && !slices.Contains(slides, b.Title) && !g.Wake.IsZero() && g.Wake.Before(end) {
			slides = append(slides, b.Title)
		}
	}
	var out []string
	if len(slides) > 0 {
		out = append(out, "moves to "+reminders.SayDay(d.To.AddDate(0, 0, 1), req.Wall, req.House.DayFirst)+": "+desk.List(slides))
	}
	if len(drops) > 0 {
		out = append(out, "is dropped: "+desk.List(drops))
	}
	if len(out) == 0 {
		out = []string{"nothing is set that could wait"}
	}
	return out, nil
}

// mostBehind keeps a slip of the tongue from moving a day into the next.
const mostBehind = 6 * time.Hour

// behind moves the rest of today.
func behind(req *desk.Request) (desk.Reply, error) {
	by := req.Reading.Of(phrase.KindDuration)[0].Value.(time.Duration)
	if by < 5*time.Minute || by > mostBehind {
		return desk.AskBack("By how much? From 5 minutes to 6 hours, for example: an hour behind"), nil
	}
	bells, err := req.Tx.ComingBells(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	home, err := req.Home()
	if err != nil {
		return desk.Reply{}, err
	}
	home.Behind = storage.Behind{From: req.Now, To: req.Instant(reminders.Day(req.Wall).AddDate(0, 0, 1)), By: by}
	rest, err := home.RestOfDay(bells)
	if err != nil {
		return desk.Reply{}, err
	}
	moves, stays := movesAndStays(req, rest)
	told, err := req.Tx.Watched(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(moves) == 0 && !told {
		return desk.Answer("Nothing is left today that could move.", stays...), nil
	}
	reply, err := set(req, storage.SetBehind, home.Behind.String(), reminders.SayDuration(by)+" behind: the rest of today moves")
	if err != nil {
		return reply, err
	}
	reply.Lines = append(moves, stays...)
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return req.Roster.Relay(req, reply)
}

// runsBehind reports that the rest of today has been moved.
func runsBehind(req *desk.Request) bool {
	d := req.House.Behind
	return d.By > 0 && req.Now.Before(d.To)
}

// onTime puts the rest of today back to its hours.
func onTime(req *desk.Request) (desk.Reply, error) {
	if !runsBehind(req) {
		return desk.Answer("The day does not run behind."), nil
	}
	reply, err := set(req, storage.SetBehind, storage.Behind{}.String(), "the day is on time again")
	if err != nil {
		return reply, err
	}
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return req.Roster.Relay(req, reply)
}

func movesAndStays(req *desk.Request, rest []reminders.Moved) (moves, stays []string) {
	for _, m := range rest {
		was := req.WallOf(m.Due).Format("15:04")
		if m.New.Equal(m.Due) {
			stays = append(stays, fmt.Sprintf("%s %s stays", was, m.Bell.Title))
			continue
		}
		moves = append(moves, fmt.Sprintf("%s %s, was %s", reminders.SayTime(req.WallOf(m.New), req.Wall, req.House.DayFirst), m.Bell.Title, was))
	}
	return moves, stays
}

// daysSaid returns the first and the last day that a line names.
func daysSaid(req *desk.Request, today time.Time) (from, to time.Time, said bool) {
	if s := req.Reading.Of(phrase.KindDays); len(s) > 0 {
		d := s[0].Value.(phrase.DateSpan)
		if d.From.IsZero() { // until friday: friday is in it
			d.From = today
		}
		return d.From, d.To, true
	}
	ds := req.Reading.Of(phrase.KindDate)
	if len(ds) == 0 {
		return today, today, false
	}
	return ds[0].Value.(phrase.Date).Next, ds[len(ds)-1].Value.(phrase.Date).Next, true
}
