package handlers

import (
	"slices"
	"strings"
	"time"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// optionsLast is how long a question can be answered with one of its words.
const optionsLast = 15 * time.Minute

// pickOption lets a question be answered with the word on one of its buttons, or with
// others that mean it. What is answered is not asked any more.
func pickOption(req *desk.Request) error {
	if req.Slash || len(req.Text) > 60 {
		return nil
	}
	asked, err := req.Tx.Asked(req.House.ID, req.TypedBy.Name, req.Now.Add(-optionsLast))
	if err != nil {
		return err
	}
	say, ok := picks(req, asked, req.Text)
	if !ok {
		return nil
	}
	req.Text, req.Direct, req.Slash = say, true, true
	return req.Tx.Ask(req.House.ID, req.TypedBy.Name, req.Now, storage.Question{})
}

// ask remembers what a reply asks. A question that was open, and without whose answer what
// was typed is lost, is put once more below the answer to a line that came in between; one
// with cautions, as for a burn, stands alone, and the question waits.
func ask(tx *storage.Tx, household int64, in Heard, reply *desk.Reply) error {
	open, err := tx.Asked(household, in.Name, in.At.Add(-optionsLast))
	if err != nil {
		return err
	}
	var is storage.Question
	if reply.Status == storage.Asked {
		is = storage.Question{Options: reply.Buttons, Asked: reply.Head, Begun: reply.Begun}
	}
	if reply.Pends {
		is.Pends = reply.Head
	}
	between := open.Pends != "" && !answers(in.Text, open.Options)
	switch {
	case between && len(is.Options) > 0:
		reply.Lines = append(slices.Clip(reply.Lines), "Not answered, so not kept: "+open.Pends)
	case between && len(reply.Cautions) > 0:
		return nil
	case between:
		is.Options, reply.Quiet = open.Options, false
		reply.Lines = append(slices.Clip(reply.Lines), "Not kept yet, and still asked: "+open.Pends)
		reply.Buttons = append(slices.Clip(reply.Buttons), open.Options...)
	}
	return tx.Ask(household, in.Name, in.At, is)
}

// keepHome keeps the question whether children are at home for the whole household, as long
// as nobody has answered it: lye is not opened in the meantime as if nothing were asked.
func keepHome(req *desk.Request, in Heard, reply desk.Reply) error {
	open, err := req.HomeAsked()
	if err != nil {
		return err
	}
	if len(reply.MayHome) == 0 {
		if reply.Status != storage.OK || !answers(in.Text, open.Options) {
			return nil
		}
		return req.Tx.Ask(req.House.ID, storage.OfHome, in.At, storage.Question{})
	}
	is := storage.Question{Options: reply.Buttons, Asked: in.Name + " wrote: " + desk.Quote(in.Text), Home: reply.MayHome}
	for _, name := range open.Home {
		if !slices.Contains(is.Home, name) {
			is.Home = append(is.Home, name)
		}
	}
	for _, o := range open.Options {
		if !slices.Contains(is.Options, o) {
			is.Options = append(slices.Clip(is.Options), o)
		}
	}
	return req.Tx.Ask(req.House.ID, storage.OfHome, in.At, is)
}

// answers reports a line that answers a question: with an option, or with the line that the
// options would say, typed anew.
func answers(text string, options []storage.Button) bool {
	said := phrase.Words(text)
	return slices.ContainsFunc(options, func(o storage.Button) bool {
		subject, _, _ := strings.Cut(o.Say, ",")
		begins := phrase.Words(subject)
		anew := len(begins) > 1 && len(said) >= len(begins) && slices.Equal(said[:len(begins)], begins)
		return anew || slices.Equal(said, phrase.Words(o.Label)) || strings.EqualFold(text, o.Say)
	})
}
