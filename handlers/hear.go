package handlers

import (
	"context"
	"errors"
	"fmt"
	"runtime/debug"
	"slices"
	"strings"
	"time"
	"unicode"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// Heard is a typed line as a transport hands it over.
type Heard struct {
	storage.Line
	Chat    string // the chat it came from
	Zone    string // of the machine, for a household that is founded by this line
	Direct  bool   // a mention, a reply to the bot, a private chat
	Button  string // names the button that was pressed, which acts once; empty for a typed line
	File    string // text of a file that came with the line, read below it; it is not kept with the line
	NoFile  string // why the file that came with the line cannot be read, for people
	Answers int    // number of the ring that it replies to
	Guest   bool   // in the chat, but nobody of the household
	Shared  bool   // from a tablet that everyone uses: the line says who speaks, and nobody is a keeper there
}

// Hear takes one line in: claimed once, answered, recorded and replied to in one
// transaction. It returns the line's number in the inbox, 0 for a line that had
// been taken before.
func (r *Roster) Hear(ctx context.Context, s *storage.Store, in Heard) (line int64, err error) {
	digest, err := r.digest(ctx, s, &in)
	if err != nil {
		return 0, err
	}
	err = s.Do(ctx, func(tx *storage.Tx) error {
		line, err = r.hear(tx, in, digest)
		return err
	})
	return line, err
}

// digest has a file read by the ask that it is for, while nothing waits for it.
func (r *Roster) digest(ctx context.Context, s *storage.Store, in *Heard) (any, error) {
	if in.File == "" {
		return nil, nil
	}
	ask, err := r.fileAsk(ctx, s, *in)
	if err != nil || ask == nil || ask.Digest == nil {
		return nil, err
	}
	text := in.File
	in.File = ""
	return ask.Digest(text), nil
}

func (r *Roster) hear(tx *storage.Tx, in Heard, digest any) (int64, error) {
	house, err := r.householdOf(tx, in)
	if err != nil {
		return 0, err
	}
	inbox, fresh, err := tx.Claim(house.ID, in.Line)
	if err != nil || !fresh {
		return 0, err
	}
	if used, err := usedUp(tx, house.ID, in); err != nil || used {
		return 0, err
	}
	people, err := tx.People(house.ID)
	if err != nil {
		return 0, err
	}
	req := r.request(tx, house, people, in)
	req.Inbox, req.File = inbox, digest
	reply, err := r.reply(req, in)
	if errors.Is(err, desk.ErrSilent) {
		return inbox, nil
	}
	if err != nil {
		return 0, err
	}
	if err := reminders.Redraw(tx, house.ID, in.At); err != nil {
		return 0, err
	}
	reply.At, reply.To = in.At, in.Name
	if in.Guest && in.Button != "" && reply.Status == storage.Refused {
		reply.Quiet = true // told to the one who pressed, not to the household
	}
	if in.Button != "" && reply.Status == storage.OK {
		if err := tx.UseUp(inbox, in.Button); err != nil {
			return 0, err
		}
	}
	if err := keepHome(req, in, reply); err != nil {
		return 0, err
	}
	if err := ask(tx, house.ID, in, &reply); err != nil {
		return 0, err
	}
	return inbox, tx.Post(house.ID, inbox, reply)
}

// request is what a line is answered with.
func (r *Roster) request(tx *storage.Tx, house storage.Household, people []storage.Person, in Heard) *desk.Request {
	pressed := in.Button != ""
	return &desk.Request{
		Tx: tx, House: house, People: people, Now: in.At, Wall: reminders.Wall(in.At, house.Zone),
		Direct: in.Direct || pressed, Slash: pressed, Answers: in.Answers, Guest: in.Guest, Shared: in.Shared, Roster: r,
	}
}

// usedUp reports a press of a button that has acted before. One that was refused
// leaves it to those who may.
func usedUp(tx *storage.Tx, household int64, in Heard) (bool, error) {
	if in.Button == "" {
		return false, nil
	}
	return tx.UsedUp(household, in.Button)
}

func (r *Roster) householdOf(tx *storage.Tx, in Heard) (storage.Household, error) {
	h, ok, err := tx.HouseholdOf(in.Chat)
	if err != nil || ok {
		return h, err
	}
	id, err := tx.Found(in.Chat, in.Zone, in.Name, in.At)
	if err != nil {
		return h, err
	}
	return tx.Household(id)
}

// reply answers the lines of a message together.
func (r *Roster) reply(req *desk.Request, in Heard) (desk.Reply, error) {
	who, ok := req.Person(in.Name)
	if in.Shared || !ok && !in.Guest {
		if reply, is, err := r.urgentIn(req, in.Text); is || err != nil {
			return reply, err
		}
	}
	if in.Shared {
		return r.shared(req, in)
	}
	if in.Guest {
		who, ok = storage.Person{Name: in.Name}, true
	}
	if !ok {
		return desk.Refuse(fmt.Sprintf("I do not know %s yet. A keeper can type: house add %s", desk.Quote(in.Name), in.Name)), nil
	}
	if in.NoFile != "" {
		return desk.Refuse(fmt.Sprintf("I cannot read that file: %s. Nothing was changed.", in.NoFile)), nil
	}
	return r.replies(req, who, below(in.Text, in.File))
}

// below puts the text of a file under its line.
func below(line, file string) string {
	if file == "" {
		return line
	}
	return line + "\n" + file
}

// shared answers a line from a tablet that everyone uses: "Pim: done" is Pim's;
// without a name it is asked whose it is. Nobody has a keeper's powers there.
func (r *Roster) shared(req *desk.Request, in Heard) (desk.Reply, error) {
	if p, rest, ok := speaker(req, in.Text); ok {
		req.Guest = false
		return r.replies(req, p, below(rest, in.File))
	}
	reply := desk.AskBack("Who is it?")
	for _, p := range req.People {
		if !p.Gone {
			reply.Buttons = append(reply.Buttons, desk.Labelled(p.Name, p.Name+": "+in.Text))
		}
	}
	probe := *req
	probe.Tx = req.Tx
	if found, err := r.opens(&probe, in.Text); err != nil || found == nil && !req.Direct {
		return desk.Reply{}, errors.Join(err, desk.ErrSilent)
	}
	return reply, nil
}

// speaker reads "Pim: done" from a tablet that everyone uses.
func speaker(req *desk.Request, text string) (p storage.Person, rest string, ok bool) {
	name, rest, named := strings.Cut(text, ":")
	p, ok = req.Person(strings.TrimPrefix(strings.TrimSpace(name), "/"))
	p.Keeper = false
	return p, strings.TrimSpace(rest), named && ok
}

// replies answers the lines of a message together.
func (r *Roster) replies(req *desk.Request, who storage.Person, text string) (desk.Reply, error) {
	lines, left, err := r.split(req, text)
	if err != nil {
		return desk.Reply{}, err
	}
	var out []desk.Reply
	for i, text := range lines {
		if i > 0 { // a later line sees what an earlier one changed
			if err := refresh(req); err != nil {
				return desk.Reply{}, err
			}
		}
		one := *req
		one.Who, one.TypedBy = who, who
		reply, err := r.answer(&one, text)
		if errors.Is(err, desk.ErrSilent) {
			continue
		}
		if err != nil {
			return desk.Reply{}, err
		}
		out = append(out, reply)
	}
	if left > 0 && (len(out) > 0 || req.Direct) {
		out = append(out, desk.AskBack(fmt.Sprintf("Too many lines at once: the last %s left out. Send them anew, at most %d in a message.", areLines(left), mostLines(req))))
	}
	return joined(out)
}

func areLines(n int) string {
	if n == 1 {
		return "1 line was"
	}
	return fmt.Sprintf("%d lines were", n)
}

func refresh(req *desk.Request) (err error) {
	if req.House, err = req.Tx.Household(req.House.ID); err != nil {
		return err
	}
	req.Wall = reminders.Wall(req.Now, req.House.Zone)
	req.People, err = req.Tx.People(req.House.ID)
	return err
}

// Opens reports whether a line by itself begins something that takes the lines
// below it, such as a recipe that is not kept yet. It writes nothing.
func (r *Roster) Opens(ctx context.Context, s *storage.Store, chat, name, text string, now time.Time) (opens bool, err error) {
	err = s.Do(ctx, func(tx *storage.Tx) error {
		h, ok, err := tx.HouseholdOf(chat)
		if err != nil || !ok {
			opens = strings.HasPrefix(strings.ToLower(text), "recipe ")
			return err
		}
		people, err := tx.People(h.ID)
		if err != nil {
			return err
		}
		req := &desk.Request{Tx: tx, House: h, People: people, Now: now, Wall: reminders.Wall(now, h.Zone), Roster: r}
		c, err := r.opens(req, clean(text))
		opens = c != nil && c.form.start && c.form.ask.TakesLines && len(c.reading.Unknown) > 0
		return err
	})
	return opens, err
}

// TakesFile reports whether a line asks something that takes the lines of a file
// below it, of somebody who may ask that. It writes nothing.
func (r *Roster) TakesFile(ctx context.Context, s *storage.Store, in Heard) (takes bool, err error) {
	ask, err := r.fileAsk(ctx, s, in)
	return ask != nil, err
}

// fileAsk is the ask of a line that takes a file, nil for none.
func (r *Roster) fileAsk(ctx context.Context, s *storage.Store, in Heard) (ask *desk.Ask, err error) {
	if in.Guest {
		return nil, nil
	}
	err = s.Do(ctx, func(tx *storage.Tx) error {
		house, ok, err := tx.HouseholdOf(in.Chat)
		if err != nil {
			return err
		}
		if !ok { // the line founds it
			house.Zone = time.UTC
		}
		people, err := tx.People(house.ID)
		if err != nil {
			return err
		}
		req := r.request(tx, house, people, in)
		text := in.Text
		if in.Shared {
			if _, text, ok = speaker(req, text); !ok {
				return nil
			}
		}
		first, _, _ := strings.Cut(clean(text), "\n")
		ask, err = r.takesLines(req, first)
		return err
	})
	return ask, err
}

// split cuts a message into typed lines, unless its first line opens something
// that takes the lines below. Left counts those that are too many.
func (r *Roster) split(req *desk.Request, text string) (lines []string, left int, err error) {
	text = clean(text)
	first, _, several := strings.Cut(text, "\n")
	if !several {
		return []string{text}, 0, nil
	}
	takes, err := r.takesLines(req, first)
	if err != nil || takes != nil {
		return []string{text}, 0, err
	}
	return r.linesOf(req, text)
}

// takesLines returns the ask that a line opens and that takes the lines below, nil
// for none.
func (r *Roster) takesLines(req *desk.Request, first string) (*desk.Ask, error) {
	probe := *req
	probe.Text, probe.More = first, []string{""}
	toks, slash := cutSlash(phrase.Tokens(first), req.Slash)
	probe.Slash = slash
	found, err := r.candidates(&probe, toks)
	if err != nil || len(found) == 0 || !found[0].form.start {
		return nil, err
	}
	return found[0].form.ask, nil
}

// How many typed lines of one message are read: each of them may write and be
// answered. A guest's message is a question or two.
const (
	maxLines      = 60
	maxGuestLines = 5
)

func mostLines(req *desk.Request) int {
	if req.Guest {
		return maxGuestLines
	}
	return maxLines
}

// linesOf takes each line for itself, but lets one that asks nothing go on with
// the one above where that one takes it: a recipe typed a fat a line.
func (r *Roster) linesOf(req *desk.Request, text string) (out []string, left int, err error) {
	joins, read := false, 0
	for l := range strings.SplitSeq(text, "\n") {
		if l = strings.TrimSpace(l); l == "" {
			continue
		}
		if read == mostLines(req) {
			left++
			continue
		}
		read++
		found, err := r.opens(req, l)
		if err != nil {
			return nil, 0, err
		}
		if joins && (found == nil || !found.form.start) {
			out[len(out)-1] += ", " + l
			continue
		}
		joins = found != nil && found.form.ask.Joins
		out = append(out, l)
	}
	return out, left, nil
}

// opens returns what a line by itself would most likely ask.
func (r *Roster) opens(req *desk.Request, line string) (*candidate, error) {
	probe := *req
	probe.Text, probe.More = line, nil
	toks, slash := cutSlash(phrase.Tokens(line), req.Slash)
	probe.Slash = slash
	found, err := r.candidates(&probe, toks)
	if err != nil || len(found) == 0 {
		return nil, err
	}
	return &found[0], nil
}

// clean drops what is not text: broken encoding, control characters, and the
// marks that turn the direction of writing around. They could hide what a reply
// quotes back.
func clean(text string) string {
	text = strings.ReplaceAll(strings.ToValidUTF8(text, ""), "\r\n", "\n")
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t':
			return r
		case unicode.IsControl(r), unicode.Is(unicode.Bidi_Control, r):
			return -1
		}
		return r
	}, text))
}

// joined makes one reply of several.
func joined(replies []desk.Reply) (desk.Reply, error) {
	switch len(replies) {
	case 0:
		return desk.Reply{}, desk.ErrSilent
	case 1:
		return replies[0], nil
	}
	out := replies[0]
	out.Quiet = false
	for _, r := range replies[1:] {
		out.Lines = append(out.Lines, r.Head)
		out.Lines = append(out.Lines, r.Lines...)
		out.Assumed = append(out.Assumed, r.Assumed...)
		out.Cautions = append(out.Cautions, r.Cautions...)
		out.Files = append(out.Files, r.Files...)
		out.MayHome = append(out.MayHome, r.MayHome...)
		if out.Status == storage.OK {
			out.Status, out.Pends = r.Status, r.Pends
		}
		for _, b := range r.Buttons {
			if !slices.Contains(out.Buttons, b) {
				out.Buttons = append(out.Buttons, b)
			}
		}
	}
	return out, nil
}

// answer does one typed line: what is urgent first.
func (r *Roster) answer(req *desk.Request, text string) (desk.Reply, error) {
	req.Text = text
	if first, rest, ok := strings.Cut(text, "\n"); ok {
		req.Text, req.More = first, strings.Split(rest, "\n")
	}
	first, ask, err := r.urgent(req)
	if err != nil || ask != nil && !ask.Also {
		return first, err
	}
	reply, err := r.asAlways(req)
	if ask == nil {
		return reply, err
	}
	return besides(first, reply, err)
}

// asAlways does a line that nothing comes before. What it wrote is taken back when it
// fails; a fault of ours is logged once, and the person gets a sentence with its number.
func (r *Roster) asAlways(req *desk.Request) (reply desk.Reply, err error) {
	if silent := r.saidFor(req); silent {
		return desk.Reply{}, desk.ErrSilent
	}
	if err := pickOption(req); err != nil {
		return desk.Reply{}, err
	}
	fault := req.Tx.Try(func() (err error) {
		defer func() {
			if p := recover(); p != nil {
				err = fmt.Errorf("panic: %v\n%s", p, debug.Stack())
			}
		}()
		reply, err = r.route(req)
		return err
	})
	if errors.Is(fault, desk.ErrSilent) {
		return desk.Reply{}, desk.ErrSilent
	}
	if errors.Is(fault, desk.ErrGuest) {
		return desk.Refuse("Only people of the household write here. Say who you are: house me NAME; a keeper confirms it."), nil
	}
	if fault != nil {
		if ctxErr := req.Tx.Context().Err(); ctxErr != nil {
			return desk.Reply{}, fault
		}
		r.Log.Error("a line could not be answered", "line", req.Inbox, "err", fault)
		return desk.Refuse(fmt.Sprintf("Something went wrong on my side and nothing was written (fault %d in the log).", req.Inbox)), nil
	}
	return reply, nil
}

// saidFor reads "Pim: done": said by a keeper, it counts for Pim. Anything else
// of that shape is one person speaking to another.
func (r *Roster) saidFor(req *desk.Request) (silent bool) {
	name, rest, ok := strings.Cut(req.Text, ":")
	if !ok || strings.ContainsAny(name, " \t/") {
		return false
	}
	p, ok := req.Person(name)
	if !ok {
		return false
	}
	if p.ID == req.TypedBy.ID {
		req.Text = strings.TrimSpace(rest)
		return false
	}
	if !req.TypedBy.Keeper || !p.Child(req.Now) {
		return true
	}
	req.Who, req.Text = p, strings.TrimSpace(rest)
	return false
}
