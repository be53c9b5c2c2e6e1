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
			Forms: []string{"^bare$", "^bare", "^bare day|days", "* bare day$", "* bare day"}, Fill: []string{"day", "days", "off", "over", "it's", "its", "make", "today's", "only", "no", "more", "end", "stop"},
			Examples: []desk.Example{{Line: "bare day"}, {Setup: []string{"ring me phone the bank at 21:00"}, Line: "bare today"}, {Setup: []string{"bare day"}, Line: "bare off"}},
			Plain:    plainBare, Do: bare,
		},
		{
			Name: "behind", Command: "bare", Keeper: true, Kinds: []phrase.Kind{phrase.KindDuration, phrase.KindBad}, Help: "the day runs behind: what is left of today moves",
			Forms: []string{"* behind$", "^behind", "* behind today$"}, Needs: []desk.Need{{Kind: phrase.KindDuration}}, Fill: []string{"running", "we're", "all", "today", "about", "day"},
			Examples: []desk.Example{{Setup: dog, Line: "an hour behind"}, {Line: "we're running 40 min behind"}},
			Plain: func(req *desk.Request) bool {
				return !strings.Contains(req.Text, "?") && !req.Mentions("he", "she", "they", "i", "i'm", "you", "was", "is", "far", "left")
			},
			Do: behind,
		},
	}
}

func plainBare(req *desk.Request) bool {
	if strings.Contains(req.Text, "?") || req.Mentions("was", "were", "if", "the") {
		return false
	}
	return req.Mentions("day", "days", "today", "tomorrow", "off") || len(req.Reading.Of(phrase.KindDays)) > 0 || len(phrase.Words(req.Text)) == 1
}

// bare makes days bare, or ends that.
func bare(req *desk.Request) (desk.Reply, error) {
	if reply, is := bad(req); is {
		return reply, nil
	}
	today := reminders.Day(req.Wall)
	if req.Mentions("off", "over", "end", "stop", "no") {
		if req.House.Bare.To.Before(today) {
			return desk.Answer("No day is bare."), nil
		}
		return set(req, storage.SetBare, "off", "no day is bare any more")
	}
	d := storage.Days{From: today, To: today}
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
	reply, err := set(req, storage.SetBare, d.String(), text+": animals, meals, medicine and safety ring, all else waits")
	if err != nil {
		return reply, err
	}
	lines, err := cost(req, d)
	reply.Lines = lines
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return reply, err
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
	req.House.Bare = d
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
	moves, stays := home.RestOfDay(bells, by, req.Now)
	if len(moves) == 0 {
		return desk.Answer("Nothing is left today that could move.", staying(req, stays)...), nil
	}
	if err := req.Record(storage.Entry{Kind: "behind", Text: fmt.Sprintf("%s behind: %s of today moved", reminders.SayDuration(by), desk.Plural(len(moves), "bell"))}); err != nil {
		return desk.Reply{}, err
	}
	reply := desk.Answer(fmt.Sprintf("%s behind: the rest of today moves.", reminders.SayDuration(by)))
	for _, b := range moves {
		next := b.Next.Add(by)
		if err := req.Tx.MoveBell(b.ID, next, b.Due, b.Remain); err != nil {
			return desk.Reply{}, err
		}
		reply.Lines = append(reply.Lines, fmt.Sprintf("%s %s, was %s", reminders.SayTime(req.WallOf(next), req.Wall, req.House.DayFirst), b.Title, req.WallOf(b.Next).Format("15:04")))
	}
	reply.Lines = append(reply.Lines, staying(req, stays)...)
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return reply, nil
}

func staying(req *desk.Request, stays []storage.Bell) []string {
	var out []string
	for _, b := range stays {
		out = append(out, fmt.Sprintf("%s %s stays", req.WallOf(b.Next).Format("15:04"), b.Title))
	}
	return out
}
