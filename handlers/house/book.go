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

// maxNote keeps a note to what a person reads.
const maxNote = 4000

// note writes anything down, tied to the batch that it names.
func note(req *desk.Request) (desk.Reply, error) {
	text := req.AfterForm()
	if req.Form == "^write down" {
		text = strings.TrimPrefix(text, "that ")
	}
	if len(req.More) > 0 {
		text = strings.TrimSpace(text + "\n" + strings.Join(req.More, "\n"))
	}
	if text == "" {
		return desk.AskBack("Note what? For example: note the sow is off her feed"), nil
	}
	if len(text) > maxNote {
		return desk.Refuse(fmt.Sprintf("That is too long for a note: at most %d characters.", maxNote)), nil
	}
	about := ""
	for _, s := range req.Reading.Of(phrase.KindThing) {
		if t := s.Value.(phrase.Thing); t.Noun == "batch" {
			about = fmt.Sprintf("batch:%d", t.N)
		}
	}
	if err := req.Record(storage.Entry{Kind: "note", About: about, Text: text}); err != nil {
		return desk.Reply{}, err
	}
	return desk.Quietly("Noted."), nil
}

// plainNote passes over talk that begins with "note": what is noted has at least
// two words beside it and does not speak to anyone.
func plainNote(req *desk.Request) bool {
	words := phrase.Words(req.AfterForm())
	if req.Form == "^write down" {
		return len(words) > 2
	}
	if len(words) == 1 {
		return !slices.Contains([]string{"taken", "this", "that", "it", "to", "well", "pad"}, words[0])
	}
	if len(words) < 2 || words[0] == "to" || words[0] == "that" || words[0] == "how" {
		return false
	}
	return len(words) > 2 || words[0] != "the" && !strings.HasSuffix(words[0], "s")
}

// shown is how many lines of the book fit a screen.
const shown = 12

// book reads the day book back: all of it, by word, by person, by day.
func book(req *desk.Request) (desk.Reply, error) {
	q := storage.BookQuery{Limit: shown}
	title := ""
	for _, s := range req.Reading.Spans {
		switch v := s.Value.(type) {
		case phrase.Term:
			if p, ok := req.Person(v.Name); ok {
				q.Person, title = p.ID, " of "+p.Name
			}
			if v.Name == "@me" {
				q.Person, title = req.Who.ID, " of "+req.Who.Name
			}
		case phrase.Date:
			q.From, q.To = req.Instant(v.Last), req.Instant(v.Last.AddDate(0, 0, 1))
			title = " of " + req.SayDay(q.From)
		case phrase.Thing:
			q.About, title = fmt.Sprintf("%s:%d", v.Noun, v.N), fmt.Sprintf(" about %s %d", v.Noun, v.N)
		}
	}
	for _, t := range req.Reading.Unknown {
		q.Words = append(q.Words, t.Low)
	}
	if len(q.Words) > 0 {
		title += " about " + desk.Quote(strings.Join(q.Words, " "))
	}
	found, err := req.Tx.Book(req.House.ID, q)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(found) == 0 && len(q.Words) > 0 && !req.Direct {
		return desk.Reply{}, desk.ErrSilent
	}
	if len(found) == 0 {
		return desk.Answer("Nothing in the day book" + title + " yet."), nil
	}
	reply := desk.Answer("The day book" + title + ", newest first:")
	for _, e := range found {
		reply.Lines = append(reply.Lines, bookLine(req, e))
	}
	return reply, nil
}

func bookLine(req *desk.Request, e storage.Entry) string {
	by := req.NameOf(e.Person)
	if typed := req.NameOf(e.TypedBy); typed != "" {
		by += " (" + typed + ")"
	}
	if by == "" {
		by = "Yardbell"
	}
	return fmt.Sprintf("%s %s: %s", req.Say(e.Happened), by, strings.ReplaceAll(e.Text, "\n", " / "))
}

// plainBook passes over "book the vet": an article makes a verb of the word.
func plainBook(req *desk.Request) bool {
	toks := req.Reading.Tokens
	if i := slices.Index(req.Reading.Used, true); i >= 0 && i+1 < len(toks) {
		switch toks[i+1].Low {
		case "the", "a", "an", "it", "your", "my", "in", "for", "on", "us", "him", "her":
			return req.Form != "^book"
		}
	}
	return len(req.Reading.Unknown) <= 2
}

// undo takes back the last thing that the person wrote, or, for a keeper with
// nothing of their own that is newer, the last thing anybody wrote.
func undo(req *desk.Request) (desk.Reply, error) {
	e, ok, err := lastOf(req)
	if err != nil {
		return desk.Reply{}, err
	}
	if fixed, is, err := fixedSince(req, e); err != nil || is {
		return ropeStays(req, fixed, e, err)
	}
	if !ok {
		return desk.Refuse("There is nothing of yours to take back."), nil
	}
	by := e.TypedBy
	if by == 0 {
		by = e.Person
	}
	if reply, is, err := onlyAsked(req, e, by); err != nil || is {
		return reply, err
	}
	if theirs := req.NameOf(by); theirs != "" && by != req.TypedBy.ID && !req.Mentions("theirs") && (req.Now.Sub(e.Written) > freshFor || ofWhere(e)) {
		return desk.AskBack(fmt.Sprintf("The last entry is %s's, %s: %s. Take that back?", theirs, req.Say(e.Written), desk.Quote(firstLineOf(e.Text))), desk.Labelled("Take it back", "undo theirs")), nil
	}
	block, blocked, err := req.Tx.Blocking(e)
	if err != nil {
		return desk.Reply{}, err
	}
	if blocked {
		return desk.Refuse(fmt.Sprintf("%s, by %s, came after and hangs on it. Take that back first.", desk.Quote(block.Text), byOf(req, block))), nil
	}
	bells, err := req.Tx.ChangedBells(e.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	if b, rings, err := reminders.RingsForSafety(req.Tx, bells); err != nil || rings {
		return desk.Refuse(fmt.Sprintf("%s is ringing for safety: it is not taken back. Say done when it is.", desk.Upper(b.Title))), err
	}
	if by == req.TypedBy.ID && !req.Mentions("mine", "my", "theirs", "before") && req.Now.Sub(e.Written) > ownFresh {
		return desk.AskBack(fmt.Sprintf("Your last entry is of %s: %s. Take that back?", req.Say(e.Written), desk.Quote(firstLineOf(e.Text))), desk.Labelled("Take it back", "undo mine")), nil
	}
	if err := req.Tx.Try(func() error { return takeBack(req, e) }); err != nil {
		return desk.Refuse(fmt.Sprintf("%s cannot be taken back any more: later entries hang on it.", desk.Quote(e.Text))), nil //nolint:nilerr // the file keeps its word
	}
	if err := noteUndo(req, e); err != nil {
		return desk.Reply{}, err
	}
	reply := desk.Answer("Taken back: " + strings.ReplaceAll(e.Text, "\n", " / ") + ".")
	if by := req.NameOf(e.Person); e.Person != req.Who.ID && by != "" {
		reply.Lines = append(reply.Lines, "It was written by "+by+", "+req.Say(e.Written)+".")
	}
	if e.Kind == "batch" || e.Kind == "pouring" {
		if reply, err = stillRoped(req, reply); err != nil {
			return reply, err
		}
	}
	if slices.Contains(ofTheDay, e.Kind) {
		return req.Roster.Relay(req, reply)
	}
	return reply, nil
}

// askedLately is how long an undo is taken for one of a question.
const askedLately = 15 * time.Minute

// onlyAsked tells whoever takes a question back that it has written nothing, and names the
// entry before it.
func onlyAsked(req *desk.Request, e storage.Entry, by int64) (desk.Reply, bool, error) {
	q, err := req.Tx.Asked(req.House.ID, req.TypedBy.Name, req.Now.Add(-askedLately))
	ours := slices.ContainsFunc(q.Options, func(b storage.Button) bool {
		return strings.HasPrefix(b.Say, "undo") || strings.HasPrefix(b.Say, "rope")
	})
	if err != nil || len(q.Options) == 0 || ours || req.Mentions("mine", "my", "theirs", "before") {
		return desk.Reply{}, false, err
	}
	say := map[bool]string{true: "undo mine", false: "undo theirs"}[by == req.TypedBy.ID]
	return desk.AskBack(fmt.Sprintf("That was only asked, and wrote nothing. The last entry is of %s: %s. Take that back?", req.Say(e.Written), desk.Quote(firstLineOf(e.Text))), desk.Labelled("Take it back", say)), true, nil
}

// ofTheDay are the kinds of entries that change who is there, what is open or when there
// is room for it: without them the day is another.
var ofTheDay = []string{"away", "house", "block", "day", "job", "meal", "batch", "pouring", "sown"}

// takeBack undoes an entry; its bells do not ring again for what has rung.
func takeBack(req *desk.Request, e storage.Entry) error {
	if err := req.Tx.Undo(e, req.Now); err != nil {
		return err
	}
	home, err := reminders.Load(req.Tx, req.House.ID, req.Now) // as it is after the undo
	if err != nil {
		return err
	}
	bells, err := req.Tx.ChangedBells(e.ID)
	if err != nil {
		return err
	}
	if err := stopRungSince(req, e, bells); err != nil {
		return err
	}
	return reminders.Reseat(req.Tx, home, bells, req.Now)
}

// stopRungSince stops the rings that bells made by a time which is taken back: they
// are yet to fall due by the time that holds again.
func stopRungSince(req *desk.Request, e storage.Entry, bells []storage.Bell) error {
	for _, b := range bells {
		if !b.Next.After(req.Now) {
			continue
		}
		open, err := req.Tx.RingsOf(b.ID)
		if err != nil {
			return err
		}
		for _, g := range open {
			if g.Fell.Before(e.Written) {
				continue
			}
			g.Wake, g.Answer, g.Answered = time.Time{}, storage.AnswerStopped, req.Now
			if err := req.Tx.SaveRing(g); err != nil {
				return err
			}
		}
	}
	return nil
}

func lastOf(req *desk.Request) (storage.Entry, bool, error) {
	own, ok, err := req.Tx.LastEntry(req.House.ID, req.TypedBy.ID)
	if err != nil || !req.May() || slices.ContainsFunc(req.Reading.Tokens, func(t phrase.Token) bool { return t.Low == "mine" || t.Low == "my" }) {
		return own, ok, err
	}
	any, found, err := req.Tx.LastEntry(req.House.ID, 0)
	if err != nil || ok && (!found || req.Now.Sub(own.Written) < ownFirst) {
		return own, ok, err
	}
	return any, found, err
}

// ownFirst is how long a keeper's undo means the keeper's own last entry, even
// when somebody else wrote one since.
const ownFirst = 15 * time.Minute

func firstLineOf(s string) string {
	line, _, _ := strings.Cut(s, "\n")
	return line
}

// ownFresh is how long a bare undo means what the speaker wrote: after it the entry is named
// first, since the line just before may have been met with silence.
const ownFresh = time.Hour

// freshFor is how long a keeper's bare undo means what somebody else wrote: after it the
// entry is named first.
const freshFor = 45 * time.Minute

// fixedSince finds a room roped off or cleared since an entry by a line of its
// own: undo right after it must not take back something else unasked.
func fixedSince(req *desk.Request, e storage.Entry) (storage.Entry, bool, error) {
	if req.Mentions("before") {
		return storage.Entry{}, false, nil
	}
	last, ok, err := req.Tx.LastRope(req.House.ID, req.TypedBy.ID)
	return last, ok && last.ID > e.ID && last.Inbox != e.Inbox, err
}

// ropeStays says that a room roped off, or cleared, is not taken back. A clear room is roped
// off anew.
func ropeStays(req *desk.Request, fixed, before storage.Entry, err error) (desk.Reply, error) {
	if err != nil {
		return desk.Reply{}, err
	}
	reply := desk.Refuse(fmt.Sprintf("The last entry, %s, is not taken back.", desk.Quote(fixed.Text)))
	if before.ID != 0 {
		reply.Head += fmt.Sprintf(" Before it came %s.", desk.Quote(before.Text))
		reply.Lines = []string{"To take that back: undo before"}
	}
	roped, err := req.Tx.Roped(req.House.ID)
	if room := strings.TrimPrefix(fixed.About, "rope:"); !slices.ContainsFunc(roped, func(r storage.Rope) bool { return r.Room == room }) {
		say := "rope off the " + room
		reply.Lines = append(reply.Lines, "If it is not clear: "+say)
		reply.Buttons = []storage.Button{desk.Labelled("Rope off again", say)}
	}
	return reply, err
}

// ofWhere reports that an entry tells where people are, or that a day is otherwise: lye work
// stands on it, and nobody else takes it back unasked.
func ofWhere(e storage.Entry) bool { return e.Kind == "day" || e.Kind == "away" }

func byOf(req *desk.Request, e storage.Entry) string {
	if by := req.NameOf(e.Person); by != "" {
		return by
	}
	return "the house"
}

// noteUndo keeps the book honest: what was taken back, and by whom.
func noteUndo(req *desk.Request, e storage.Entry) error {
	return req.Record(storage.Entry{Kind: "undo", About: e.About, Text: "took back: " + e.Text, Fixed: true})
}

// stillRoped says that taking back a pour, or its beginning, does not make the room safe.
func stillRoped(req *desk.Request, reply desk.Reply) (desk.Reply, error) {
	roped, err := req.Tx.Roped(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	for _, r := range roped {
		reply.Cautions = append(reply.Cautions, fmt.Sprintf("The %s stays roped off until a keeper says all clear.", r.Room))
	}
	if p, under, err := req.Tx.PouringNow(req.House.ID); err != nil || under && !p.Opened.IsZero() && len(roped) == 0 {
		reply.Cautions = append(reply.Cautions, fmt.Sprintf("The %s is not roped off. If lye stands open: rope off the %s", p.Room, p.Room))
		reply.Buttons = append(reply.Buttons, desk.Labelled("Rope off", "rope off the "+p.Room))
		return reply, err
	}
	return reply, nil
}

// openNow tells the day what waits: rings that nobody has answered and rooms
// that are closed.
func openNow(req *desk.Request) ([]string, error) {
	var out []string
	roped, err := req.Tx.Roped(req.House.ID)
	if err != nil {
		return nil, err
	}
	for _, r := range roped {
		out = append(out, fmt.Sprintf("ROPED OFF: the %s, since %s", r.Room, req.Say(r.Since)))
	}
	if len(roped) > 0 {
		home, err := req.Roster.AtHome(req, req.Wall.Add(time.Minute))
		if err != nil {
			return nil, err
		}
		if len(home) > 0 {
			out = append(out, req.SayAtHome(home))
		}
	}
	rings, err := req.Tx.OpenRings(req.House.ID)
	if err != nil {
		return nil, err
	}
	for _, g := range rings {
		b, ok, err := req.Tx.Bell(g.Bell)
		if err != nil {
			return nil, err
		}
		if ok && g.Said > 0 {
			out = append(out, fmt.Sprintf("waiting (%d): %s, %s, since %s", g.Num, b.Title, reminders.SayWhom(g.Whom, req.People, req.Now), req.Say(g.Due)))
		}
	}
	return out, nil
}

func help(req *desk.Request) (desk.Reply, error) {
	words := helpWords(req)
	if len(words) == 0 {
		reply, _ := req.Roster.Help(req, "")
		return reply, nil
	}
	reply, ok := req.Roster.Help(req, words[len(words)-1])
	if !ok {
		reply, ok = req.Roster.Help(req, words[0])
	}
	if !ok && !req.Direct {
		return desk.Reply{}, desk.ErrSilent
	}
	if !ok {
		return desk.AskBack("There is no command "+desk.Quote(words[0])+".", desk.Button("help")), nil
	}
	return reply, nil
}

// helpWords are the words of what help is asked for: "/help me with the soap".
func helpWords(req *desk.Request) []string {
	all := phrase.Words(req.AfterForm())
	if !req.Direct {
		return all
	}
	if words := slices.DeleteFunc(slices.Clone(all), func(w string) bool { return w == "me" || phrase.IsFiller(w) }); len(words) > 0 {
		return words
	}
	return all
}

func plainHelp(req *desk.Request) bool {
	words := helpWords(req)
	if len(words) == 0 {
		return true
	}
	_, last := req.Roster.Help(req, words[len(words)-1])
	_, first := req.Roster.Help(req, words[0])
	others := slices.DeleteFunc(words, phrase.IsFiller)
	return (last || first) && len(others) <= 1
}
