package handlers

import (
	"errors"
	"slices"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// urgent answers a line that cannot wait for whom it is by or what else it may
// mean: a cry for help. The ask is nil for any other line.
func (r *Roster) urgent(req *desk.Request) (desk.Reply, *desk.Ask, error) {
	if len(req.Text) > maxLine {
		return desk.Reply{}, nil, nil
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
			return reply, ask, err
		}
	}
	return desk.Reply{}, nil, nil
}

// besides adds to an urgent answer what the line is answered with as always. A question or
// a refusal is left out, and so are buttons: hands may be gloved.
func besides(first, reply desk.Reply, err error) (desk.Reply, error) {
	if errors.Is(err, desk.ErrSilent) || err == nil && reply.Status != storage.OK {
		return first, nil
	}
	if err != nil {
		return reply, err
	}
	first.Lines = slices.Concat(first.Lines, []string{reply.Head}, reply.Lines)
	first.Assumed = append(first.Assumed, reply.Assumed...)
	first.Cautions = append(first.Cautions, reply.Cautions...)
	return first, nil
}

// urgentIn looks for such a line in a message of somebody who is not known, or who has not
// said yet who speaks.
func (r *Roster) urgentIn(req *desk.Request, text string) (desk.Reply, bool, error) {
	if _, _, named := speaker(req, text); req.Shared && named {
		return desk.Reply{}, false, nil // answered as whose it is
	}
	for line := range strings.SplitSeq(clean(text), "\n") {
		probe := *req
		probe.Text = line
		if reply, ask, err := r.urgent(&probe); ask != nil || err != nil {
			return reply, ask != nil, err
		}
	}
	return desk.Reply{}, false, nil
}
