package soap

import (
	"fmt"
	"slices"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// thrownOut is how a whole batch left the rack.
const thrownOut = "thrown out"

func scrapAsks() []desk.Ask {
	poured := []string{"poured 1200 g lard 160 g lye 456 g water"}
	return []desk.Ask{{
		Name: "outgo", Command: "batch", Adult: true, Needs: ofBatch[:1], Help: "take a batch that went wrong off the rack, with its bells",
		Forms: []string{"^scrap|bin batch", "^throw|threw batch|out|away", "^scrapped|binned batch", "^batch * failed", "^batch * is|was lye-heavy|heavy", "^batch * scrapped|binned"},
		Kinds: []phrase.Kind{phrase.KindThing}, Fill: []string{"out", "away", "is", "was", "has", "lye", "heavy"}, Keep: true,
		Examples: []desk.Example{{Setup: poured, Line: "scrap batch 1"}, {Setup: poured, Line: "throw out batch 1"}, {Setup: poured, Line: "batch 1 failed"}},
		Do:       scrap,
	}}
}

// scrap takes a batch off the rack and stops its bells.
func scrap(req *desk.Request) (desk.Reply, error) {
	b, reply, ok, err := find(req, func(storage.Batch) (bool, error) { return false, nil })
	if err != nil || !ok {
		return reply, err
	}
	gone, err := scrapped(req, b)
	if err != nil {
		return desk.Reply{}, err
	}
	if gone {
		return desk.Answer(fmt.Sprintf("%s is off the rack already.", heading(b))), nil
	}
	if err := req.Record(storage.Entry{Kind: "outgo", About: subject(b), Text: thrownOut + ": " + title(b.Num, b.Name)}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.AddOutgo(req.House.ID, b.ID, storage.Outgo{At: req.Now, Bars: b.Bars, How: thrownOut}); err != nil {
		return desk.Reply{}, err
	}
	if err := endBells(req, subject(b)); err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer(heading(b)+" is off the rack, and its bells are stopped.", "Gloves on: it may be caustic through and through. Out of reach of children and animals, into the rubbish, not the drain or the compost.")
	out.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return out, nil
}

// scrapped reports a batch that was thrown out whole.
func scrapped(req *desk.Request, b storage.Batch) (bool, error) {
	out, err := req.Tx.Outgoes(b.ID)
	return slices.ContainsFunc(out, func(o storage.Outgo) bool { return o.How == thrownOut }), err
}

// onRack leaves out the batches that were thrown out.
func onRack(req *desk.Request, all []storage.Batch) ([]storage.Batch, error) {
	var out []storage.Batch
	for _, b := range all {
		gone, err := scrapped(req, b)
		if err != nil {
			return nil, err
		}
		if !gone {
			out = append(out, b)
		}
	}
	return out, nil
}
