package handlers

import (
	"strings"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
)

// urgent answers a line that cannot wait for whom it is by or what else it may
// mean: a cry for help.
func (r *Roster) urgent(req *desk.Request) (desk.Reply, bool, error) {
	if len(req.Text) > maxLine {
		return desk.Reply{}, false, nil
	}
	probe := *req
	probe.Reading = phrase.Reading{Text: req.Text, Tokens: phrase.Tokens(req.Text)}
	for d := range r.desks {
		for a := range r.desks[d].Asks {
			ask := &r.desks[d].Asks[a]
			if ask.Urgent == nil || !ask.Urgent(&probe) {
				continue
			}
			reply, err := ask.Do(&probe)
			return reply, true, err
		}
	}
	return desk.Reply{}, false, nil
}

// urgentIn looks for such a line in a message of somebody who is not known.
func (r *Roster) urgentIn(req *desk.Request, text string) (desk.Reply, bool, error) {
	for line := range strings.SplitSeq(clean(text), "\n") {
		probe := *req
		probe.Text = line
		if reply, is, err := r.urgent(&probe); is || err != nil {
			return reply, is, err
		}
	}
	return desk.Reply{}, false, nil
}
