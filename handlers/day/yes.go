package day

import (
	"slices"
	"strings"
	"time"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// askedFor is how long a question of this desk may be answered with a plain yes.
const askedFor = 15 * time.Minute

// yesAsk is a yes to the question whether a child is at home: the answer must not be lost
// because it is short.
func yesAsk() desk.Ask {
	return desk.Ask{
		Name: "day", Command: "block", Text: true, Help: "yes to the question whether a child is at home", Forms: []string{"^yes", "^yes please", "^yep|yeah|aye"},
		Examples: []desk.Example{{Setup: []string{"day school weekdays 9:30-12:30 kids"}, Line: "school is off today"}}, Plain: plainYes, Do: yes,
	}
}

func plainYes(req *desk.Request) bool {
	return onlyWords(req, "", strings.Fields("yes yep yeah aye please it is they are he she thanks today")...) && !strings.Contains(req.Text, "?") && len(asked(req)) > 0
}

// asked are the lines that the question of this desk, answered last to who speaks, offered.
func asked(req *desk.Request) []string {
	m, _, ok, err := req.Tx.AnsweredBefore(req.House.ID, req.Inbox, req.Now.Add(-askedFor))
	ours := func(head string) bool { return strings.HasPrefix(m.Head, head) }
	if err != nil || !ok || m.Status != storage.Asked || !ours(offHead) && !ours(homeHead) && !ours(visitHead) {
		return nil
	}
	var out []string
	for _, b := range m.Buttons {
		if b.Say != nobodyHome {
			out = append(out, b.Say)
		}
	}
	return out
}

// yes does what was asked; with several children to choose from it asks which.
func yes(req *desk.Request) (desk.Reply, error) {
	if !plainYes(req) {
		return desk.Reply{}, desk.ErrSilent
	}
	lines := asked(req)
	off := !slices.ContainsFunc(lines, func(l string) bool { return !strings.Contains(l, " is off ") })
	if len(lines) > 1 && !off {
		reply := desk.AskBack("Which of these? Say for example: " + lines[0])
		for _, l := range lines {
			reply.Buttons = append(reply.Buttons, desk.Labelled(desk.Upper(l), l))
		}
		return reply, nil
	}
	var reply desk.Reply
	for _, l := range lines {
		said := *req
		said.Text = l
		said.Reading = phrase.Reading{Text: l, Tokens: phrase.Tokens(l)}
		one, err := doOffered(&said)
		if err != nil {
			return desk.Reply{}, err
		}
		if reply.Head != "" {
			one.Lines = append([]string{reply.Head}, one.Lines...)
		}
		reply = one
	}
	return reply, nil
}

// doOffered does a line that a question of this desk offered.
func doOffered(req *desk.Request) (desk.Reply, error) {
	if strings.HasPrefix(req.Text, "a child visits") {
		return visit(req)
	}
	if strings.Contains(req.Text, " is off ") {
		return blockOff(req)
	}
	name, _, _ := strings.Cut(req.Text, " is home ")
	p, ok := req.Person(name)
	if !ok {
		return desk.Reply{}, desk.ErrSilent
	}
	return countHome(req, []storage.Person{p}, 0)
}
