package day

import (
	"fmt"
	"slices"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// What desks hand in by themselves, a batch to pour or seed to sow, is put off, given to
// somebody and dropped in the words that serve for the household's own jobs.

// openWork is the open work of all desks as the household will have it.
func openWork(req *desk.Request) ([]desk.Job, error) {
	handed, err := req.Roster.Jobs(req)
	if err != nil {
		return nil, err
	}
	said, err := req.Tx.JobWords(req.House.ID)
	if err != nil {
		return nil, err
	}
	handed = onePour(handed)
	for _, w := range said {
		i := slices.IndexFunc(handed, func(j desk.Job) bool { return j.Key == w.Key })
		switch {
		case i < 0 || w.Dropped && w.Made.Before(handed[i].Made):
		case w.Dropped:
			handed = slices.Delete(handed, i, i+1)
		default:
			handed[i] = withWord(req, handed[i], w)
		}
	}
	return handed, nil
}

// withWord is a handed job with what was said of it.
func withWord(req *desk.Request, j desk.Job, w storage.JobWord) desk.Job {
	if w.Length > 0 {
		j.Takes = w.Length
	}
	if w.Whom != "" {
		j.By = idsOf(req, w.Whom)
	}
	if !w.From.IsZero() || !w.By.IsZero() {
		j.From, j.Due, j.Pin = w.From, w.By, w.Pin
	}
	return j
}

// onePour has the job of making soap that somebody typed stand for the batch of which
// there is a card: it is poured once.
func onePour(all []desk.Job) []desk.Job {
	card := slices.IndexFunc(all, func(j desk.Job) bool { return j.Needs.Lye && j.Loose })
	if card < 0 {
		return all
	}
	for i, j := range all {
		if own := strings.HasPrefix(j.Key, "job:"); own && j.Needs.Lye && calledOnly(all[card], phrase.Words(j.Title)) {
			all[i].Detail, all[i].Hints = all[card].Detail, all[card].Hints
			return slices.Delete(all, card, card+1)
		}
	}
	return all
}

// calledOnly reports words that all name one job, and at least one of them by its title.
func calledOnly(j desk.Job, words []string) bool {
	words = slices.DeleteFunc(slices.Clone(words), phrase.IsFiller)
	title := stems(phrase.Words(j.Title))
	also := stems(j.Also)
	named := false
	for _, w := range stems(words) {
		switch {
		case slices.Contains(title, w):
			named = true
		case !slices.Contains(also, w):
			return false
		}
	}
	return named
}

// stems are words without the endings of number and of verbs: fences and fencing are
// fence.
func stems(words []string) []string {
	out := make([]string, 0, len(words))
	for _, w := range words {
		out = append(out, stem(w))
	}
	return out
}

// endings of words, the longest first.
var endings = []string{"ings", "ing", "ies", "ied", "ed", "es", "s", "e", "y"}

func stem(w string) string {
	for _, end := range endings {
		if short, is := strings.CutSuffix(w, end); is && len(short) > 2 {
			return short
		}
	}
	return w
}

// calledBy are the jobs that some words of a line call: own ones, and those that a line may
// change.
func calledBy(jobs []desk.Job, words []string) []desk.Job {
	if len(words) == 0 {
		return nil
	}
	return slices.DeleteFunc(slices.Clone(jobs), func(j desk.Job) bool {
		return !(isOwn(j) || j.Loose) || !calledOnly(j, words)
	})
}

// surely reports that a plain line means a job and not the thing that it is about: the
// household's own job, or a handed one that is called by its work too. "Hand the carrots to
// Tom" is said at table.
func surely(req *desk.Request, j desk.Job, words []string) bool {
	return isOwn(j) || req.Direct || req.Mentions("job") || len(slices.DeleteFunc(slices.Clone(words), phrase.IsFiller)) > 1
}

func isOwn(j desk.Job) bool { return strings.HasPrefix(j.Key, "job:") }

// ownJob is the household's own job of a key.
func ownJob(req *desk.Request, key string) (storage.Job, bool) {
	open, err := req.Tx.Jobs(req.House.ID)
	i := slices.IndexFunc(open, func(o storage.Job) bool { return jobKey(o) == key })
	if err != nil || i < 0 {
		return storage.Job{}, false
	}
	return open[i], true
}

// asOwn is a handed job in the form of the household's own ones, to be checked and told.
func asOwn(j desk.Job) storage.Job {
	out := storage.Job{Title: j.Title, Length: j.Takes, Near: !j.Needs.Elsewhere, Whom: reminders.People(j.By...), From: j.From, By: j.Due, Pin: j.Pin}
	var needs []string
	for _, n := range []struct {
		need string
		is   bool
	}{{needDry, j.Needs.Dry}, {needDaylight, j.Needs.Daylight && !j.Needs.Dry}, {needHelp, j.Help}, {needKitchen, j.Needs.Kitchen}, {needLye, j.Needs.Lye}, {needOven, j.Needs.Oven}} {
		if n.is {
			needs = append(needs, n.need)
		}
	}
	out.Needs = strings.Join(needs, " ")
	return out
}

// changeWork changes what a line says of an open job.
func changeWork(req *desk.Request, j desk.Job, said jobSaid) (desk.Reply, error) {
	if own, is := ownJob(req, j.Key); is {
		return changeJob(req, own, said)
	}
	if reply, no := mayNot(req, "the day's jobs"); no && !slices.Contains(j.By, req.TypedBy.ID) && !volunteers(req, asOwn(j), said) {
		return reply, nil
	}
	w := storage.JobWord{Household: req.House.ID, Key: j.Key, Made: req.Now, Length: j.Takes, Whom: reminders.People(j.By...), From: j.From, By: j.Due, Pin: j.Pin}
	if said.Length > 0 {
		w.Length = said.Length
	}
	if said.people {
		w.Whom = said.Whom
	}
	if said.dated {
		w.From, w.By, w.Pin = said.From, said.By, said.Pin
	}
	is := withWord(req, j, w)
	probe := jobSaid{Job: asOwn(is), nearSaid: true}
	if reply, no := ofChildren(req, &probe); no {
		return reply, nil
	}
	text := sayJob(req, asOwn(is))
	if text == sayJob(req, asOwn(j)) {
		return desk.Answer(desk.Upper(text) + ". Nothing changed."), nil
	}
	if err := req.Record(storage.Entry{Kind: "job", About: "job:" + strings.ToLower(j.Title), Text: "job: " + text}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.SaveJobWord(w); err != nil {
		return desk.Reply{}, err
	}
	if said.dated {
		if err := req.Tx.ForgetLaid(req.House.ID, j.Key); err != nil {
			return desk.Reply{}, err
		}
	}
	reply := desk.Answer(desk.Upper(text) + ".")
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return laidFor(req, reply, j.Key)
}

// volunteers reports somebody who takes a job on that nobody was named for.
func volunteers(req *desk.Request, j storage.Job, said jobSaid) bool {
	return j.Whom == "" && said.people && said.Whom == reminders.People(req.TypedBy.ID)
}

// dropWork takes a handed job out of the day: what it is for stays with its desk.
func dropWork(req *desk.Request, j desk.Job) (desk.Reply, error) {
	if !req.May() {
		return desk.Refuse("Only a keeper drops a job: "+keeperNames(req)+".", "Ask one of them to type it."), nil
	}
	if err := req.Record(storage.Entry{Kind: "job", About: "job:" + strings.ToLower(j.Title), Text: "job dropped: " + j.Title}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.SaveJobWord(storage.JobWord{Household: req.House.ID, Key: j.Key, Dropped: true, Made: req.Now}); err != nil {
		return desk.Reply{}, err
	}
	reply := desk.Answer("Job dropped: " + j.Title + ".")
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return laidAnew(req, reply)
}

// doneWork asks for the line that writes a handed job down where it belongs.
func doneWork(j desk.Job) desk.Reply {
	return desk.AskBack(fmt.Sprintf("%s is written down as: %s. Is that so?", desk.Upper(j.Title), j.Done), desk.Labelled("Yes: "+j.Done, j.Done))
}

// forgetWords forgets what was said of jobs that are over.
func (l *laying) forgetWords() error {
	said, err := l.req.Tx.JobWords(l.req.House.ID)
	if err != nil || len(said) == 0 {
		return err
	}
	handed, err := l.req.Roster.Jobs(l.req)
	if err != nil {
		return err
	}
	for _, w := range said {
		if slices.ContainsFunc(handed, func(j desk.Job) bool { return j.Key == w.Key }) {
			continue
		}
		if err := l.req.Tx.DropJobWord(l.req.House.ID, w.Key); err != nil {
			return err
		}
	}
	return nil
}
