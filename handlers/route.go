package handlers

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// maxLine is the longest line that is read, in bytes; a pasted recipe fits.
const maxLine = 20_000

// candidate is an ask that a line may mean.
type candidate struct {
	form    form
	reading phrase.Reading
	score   int
}

const (
	worthWord    = 20
	worthToken   = 10
	costStrange  = 12
	bonusCommand = 15 // the line begins with the command word itself
)

// route finds what a line asks and does it.
func (r *Roster) route(req *desk.Request) (desk.Reply, error) {
	if len(req.Text) > maxLine {
		if req.Direct || strings.HasPrefix(req.Text, "/") {
			return desk.Refuse(fmt.Sprintf("That line is too long to read (%d characters). Send at most %d at a time.", len(req.Text), maxLine)), nil
		}
		return desk.Reply{}, desk.ErrSilent
	}
	toks := phrase.Tokens(req.Text)
	if req.Slash && !r.begins(toks) {
		plainly := *req // a button with a plain sentence on it is read as it would be typed
		plainly.Slash, plainly.Direct = false, false
		if reply, err := r.matched(&plainly, toks); err != nil || reply.Head != "" {
			return reply, err
		}
	}
	toks, req.Slash = cutSlash(toks, req.Slash)
	req.Direct = req.Direct || req.Slash
	if reply, err := r.matched(req, toks); err != nil || reply.Head != "" {
		return reply, err
	}
	if req.Direct {
		return r.nothingNear(req, toks), nil
	}
	return desk.Reply{}, desk.ErrSilent
}

// begins reports a line that begins with a command word.
func (r *Roster) begins(toks []phrase.Token) bool {
	if len(toks) == 0 || toks[0].Low == "/" || r.byCommand[toks[0].Low] != nil {
		return true
	}
	for _, others := range r.aliases {
		if slices.Contains(others, toks[0].Low) {
			return true
		}
	}
	return false
}

// matched does what a line asks, as written or with a slip in the naming word. Where it
// asks nothing, the reply has no head.
func (r *Roster) matched(req *desk.Request, toks []phrase.Token) (desk.Reply, error) {
	line := r.reader(req, toks)
	for _, slip := range []bool{false, true} { // a slip in the naming word is looked at when nothing reads as written
		found, err := line.matching(slip)
		if err != nil {
			return desk.Reply{}, err
		}
		reply, err := r.first(req, found)
		if err != nil || reply.Head != "" {
			return reply, err
		}
	}
	return desk.Reply{}, nil
}

// first does the best of the candidates that the line is for. Without one the reply
// has no head. A line for the bot is first read as it would be among people: what is a whole
// ask there is not bent to another that shares a word with it.
func (r *Roster) first(req *desk.Request, found []candidate) (desk.Reply, error) {
	if req.Direct && !req.Slash {
		if reply, _, err := r.best(req, found, readsPlainly); err != nil || reply.Head != "" {
			return reply, err
		}
	}
	reply, silent, err := r.best(req, found, func(req *desk.Request, c candidate) bool { return req.Direct || plain(req, c) })
	if err == nil && reply.Head == "" && silent != nil && req.Direct {
		return r.unsure(req, silent), nil
	}
	return reply, err
}

// readsPlainly is plain for a line that is for the bot.
func readsPlainly(req *desk.Request, c candidate) bool {
	among := *req
	among.Direct = false
	return plain(&among, c)
}

// best does the first candidate that is for the line, and returns an ask that took it for
// talk.
func (r *Roster) best(req *desk.Request, found []candidate, fits func(*desk.Request, candidate) bool) (reply desk.Reply, silent *desk.Ask, err error) {
	for _, c := range found {
		ask := c.form.ask
		req.Reading, req.Form = c.reading, c.form.text
		if !fits(req, c) || ask.Strict && !ask.Plain(req) {
			continue
		}
		if reply, no := forbidden(req, ask); no {
			return reply, nil, nil
		}
		reply, err := ask.Do(req)
		if errors.Is(err, desk.ErrSilent) { // not for it: the next best may know more
			if silent == nil {
				silent = ask
			}
			continue
		}
		return reply, nil, err
	}
	return desk.Reply{}, silent, nil
}

// cutSlash drops a leading slash, and a bot name after the command.
func cutSlash(toks []phrase.Token, slash bool) ([]phrase.Token, bool) {
	if len(toks) < 2 || toks[0].Low != "/" || toks[1].Kind != phrase.Word || !toks[1].Glued {
		return toks, slash
	}
	rest := slices.Clone(toks[1:])
	if len(rest) > 2 && rest[1].Low == "@" && rest[1].Glued {
		rest = slices.Delete(rest, 1, 3)
	}
	return rest, true
}

// candidates reads the line for every ask whose form occurs in it, best first.
// Slips in the naming word are looked at only when nothing matches as written.
func (r *Roster) candidates(req *desk.Request, toks []phrase.Token) ([]candidate, error) {
	line := r.reader(req, toks)
	for _, slip := range []bool{false, true} {
		found, err := line.matching(slip)
		if err != nil || len(found) > 0 {
			return found, err
		}
	}
	return nil, nil
}

// longestSlip is how many words and marks a line has at the most in which slips are
// looked for: each of its words is held against each first word of the tables.
const longestSlip = 60

// worthTrying are the forms of which the line has a word of each part, in the order of the
// tables. With slip a word that is a slip away from one of the line will do for the first.
func (r *Roster) worthTrying(toks []phrase.Token, slip bool) (out []int) {
	if slip && len(toks) > longestSlip {
		return nil
	}
	has := make([]parts, len(r.forms))
	for _, t := range toks {
		for at := range r.words.of(t.Low) {
			has[at.form] |= 1 << at.part
		}
	}
	if slip {
		r.forgiveFirst(toks, has)
	}
	for i, f := range r.forms {
		if has[i]&f.words == f.words {
			out = append(out, i)
		}
	}
	return out
}

// forgiveFirst takes the first word of a form as had where one of the line is a slip away
// from it. Behind a gap that is left to matching.
func (r *Roster) forgiveFirst(toks []phrase.Token, has []parts) {
	for word := range r.words.last {
		near := func(t phrase.Token) bool { return t.Kind == phrase.Word && phrase.OneSlip(t.Low, word) }
		if !r.words.begins(word) || !slices.ContainsFunc(toks, near) {
			continue
		}
		for at := range r.words.of(word) {
			if at.part == 0 {
				has[at.form] |= 1
			}
		}
	}
	for i, f := range r.forms {
		if f.parts[0] == nil {
			has[i] |= 1 << f.first()
		}
	}
}

// reader reads one line for many asks.
type reader struct {
	*Roster
	req  *desk.Request
	toks []phrase.Token
	line *phrase.Line
}

func (r *Roster) reader(req *desk.Request, toks []phrase.Token) *reader {
	return &reader{r, req, toks, phrase.NewLine(req.Text, toks, req.Context())}
}

func (r *reader) matching(slip bool) ([]candidate, error) {
	best := map[*desk.Ask]candidate{}
	places := r.worthTrying(r.toks, slip)
	for _, i := range places {
		f := r.forms[i]
		forgive := forgiven(r.req, f, slip)
		if r.req.Slash && !r.commandFits(f, r.toks, forgive) || len(r.req.More) > 0 && !f.ask.TakesLines {
			continue
		}
		used, ok := f.match(r.toks, forgive)
		if !ok {
			continue
		}
		reading, err := r.read(f.ask, used)
		if err != nil {
			return nil, err
		}
		c := candidate{form: f, reading: reading, score: score(f, reading)}
		if old, ok := best[f.ask]; !ok || c.score > old.score {
			best[f.ask] = c
		}
	}
	out := make([]candidate, 0, len(best))
	for _, i := range places { // in the order of the tables, so that ties are settled the same way each time
		ask := r.forms[i].ask
		if c, ok := best[ask]; ok {
			out = append(out, c)
			delete(best, ask)
		}
	}
	slices.SortStableFunc(out, func(a, b candidate) int { return b.score - a.score })
	return out, nil
}

// forgiven is how far the naming word may be off: freely in a line that is
// plainly for the bot or that holds what the ask needs, else only by a swap, so
// that "bring Ivo his lunch" stays talk.
func forgiven(req *desk.Request, f form, slip bool) slips {
	switch {
	case !slip:
		return asWritten
	case req.Direct || len(f.ask.Needs) > 0:
		return anySlip
	}
	return swaps
}

// commandFits keeps a slash line to the asks of its command word, and to those
// whose form begins with its first word.
func (r *Roster) commandFits(f form, toks []phrase.Token, slip slips) bool {
	if len(toks) == 0 {
		return false
	}
	w := toks[0].Low
	return w == f.ask.Command || slices.Contains(r.aliases[f.ask.Command], w) || wordIn(w, f.parts[0], slip) ||
		wordIn(w, []string{f.ask.Command}, slip)
}

func score(f form, reading phrase.Reading) int {
	s := worthWord * f.size()
	if f.start && slices.Contains(f.parts[0], f.ask.Command) {
		s += bonusCommand
	}
	for _, span := range reading.Spans {
		for i := span.First; i < span.Past; i++ {
			if !reading.Named[i] { // counted with the form already
				s += worthToken
			}
		}
	}
	if !f.ask.Text {
		s -= costStrange * len(reading.Unknown)
	}
	return s
}

// read looks in the line for what the ask takes.
func (r *reader) read(ask *desk.Ask, used []bool) (phrase.Reading, error) {
	q := phrase.Query{Kinds: ask.Kinds, Used: used, Fill: ask.Fill}
	if ask.Keep {
		q.Used = nil
	}
	for _, name := range ask.Lists {
		list, err := r.list(r.req.Tx, r.req.House.ID, name)
		if err != nil {
			return phrase.Reading{}, err
		}
		if list != nil {
			q.Lists = append(q.Lists, list)
		}
	}
	reading := r.line.Read(q)
	reading.Named = used
	if ask.Keep { // the words that named the ask are no strangers
		reading.Unknown = slices.DeleteFunc(reading.Unknown, func(t phrase.Token) bool {
			i := slices.IndexFunc(r.toks, func(o phrase.Token) bool { return o.Start == t.Start })
			return i >= 0 && used[i]
		})
	}
	return reading, nil
}

// plain decides whether a line that was not addressed to the bot is meant for
// it: the whole of it has to read as an ask.
func plain(req *desk.Request, c candidate) bool {
	ask := c.form.ask
	need := len(ask.Needs) == 0
	for _, n := range ask.Needs {
		need = need || req.Has(n)
	}
	if !need {
		return false
	}
	strange := len(c.reading.Unknown)
	if !ask.Text && strange > 0 && (!ask.Doubt || !c.form.start && c.form.size() < 2 || strange > 4) {
		return false
	}
	if len(ask.Needs) == 0 && ask.Plain == nil && c.form.size() < 2 && talkMark(req.Text, ask.Question) {
		return false
	}
	return ask.Plain == nil || ask.Plain(req)
}

// talkMark reports that a bare word was called out or asked among people
// ("Today?", "Later!"), not typed as a command.
func talkMark(text string, question bool) bool {
	text = strings.TrimSpace(text)
	return strings.HasSuffix(text, "?") && !question || strings.HasSuffix(text, "!")
}

// forbidden holds the asks that only keepers, or only adults, may make.
func forbidden(req *desk.Request, ask *desk.Ask) (desk.Reply, bool) {
	switch {
	case ask.Adult && req.Guest:
		return desk.Refuse("I do not know who you are, and this is lye work. Say who you are: house me NAME; a keeper confirms it."), true
	case ask.Adult && req.Shared:
		return desk.Refuse("Not from the tablet that everyone uses: this is lye work, and I cannot see who types. Type it from an account of your own."), true
	case ask.Adult && (req.Who.Child(req.Now) || req.TypedBy.Child(req.Now)):
		return desk.Refuse("Not for a child: this is lye work. Ask "+req.Keepers()+" to do it.",
			"Lye burns skin and eyes. Stay out of the room while it is open."), true
	case ask.Keeper && !req.TypedBy.Keeper:
		return desk.Refuse("Only a keeper may do that: "+req.Keepers()+".", "Ask one of them to type it."), true
	}
	return desk.Reply{}, false
}

// unsure answers a line for the bot whose ask found nothing to do in it.
func (r *Roster) unsure(req *desk.Request, ask *desk.Ask) desk.Reply {
	if len(ask.Examples) > 0 {
		return desk.AskBack("I could not read "+desk.Quote(req.Text)+". This would work: "+ask.Examples[0].Line,
			desk.Labelled("Examples", "help "+ask.Command))
	}
	return desk.AskBack("I could not read "+desk.Quote(req.Text)+".", desk.Labelled("Examples", "help "+ask.Command))
}

// nothingNear answers a line for the bot that names no ask, with the nearest
// command that would work.
func (r *Roster) nothingNear(req *desk.Request, toks []phrase.Token) desk.Reply {
	word := ""
	if i := firstContent(toks); i < len(toks) {
		word = toks[i].Low
	}
	best, at := "", 3
	for _, name := range r.Commands() {
		if d := phrase.Distance(word, name); d < at {
			best, at = name, d
		}
	}
	if best == "" || word == "" {
		return desk.AskBack("I do not know "+desk.Quote(req.Text)+". What would you like to do?", desk.Button("help"))
	}
	if ask := r.byCommand[best]; ask != nil && len(ask.Examples) > 0 {
		return desk.AskBack(fmt.Sprintf("I do not know %s. Did you mean %s? For example: %s", desk.Quote(word), best, ask.Examples[0].Line),
			desk.Labelled("Examples", "help "+best))
	}
	return desk.AskBack("I do not know "+desk.Quote(word)+". Did you mean "+best+"?", storage.Button{Label: best, Say: best})
}
