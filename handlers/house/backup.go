package house

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

func backupAsks() []desk.Ask {
	return []desk.Ask{{
		Name: "backup", Command: "backup", Keeper: true, Text: true, Help: "copies of the household's file, made by themselves",
		Forms: []string{"^house backup|backups", "^backup|backups", "^when was the last backup", "^last backup"},
		Kinds: []phrase.Kind{phrase.KindRule, phrase.KindClock, phrase.KindBad},
		Examples: []desk.Example{
			{Line: "house backup daily 03:00 to backups"},
			{Setup: []string{"house backup daily 03:00 to backups"}, Line: "backup"},
			{Line: "backup every sunday 4am to /srv/yardbell keep 12"},
			{Setup: []string{"house backup daily 03:00 to backups"}, Line: "house backup off"},
		},
		Plain: plainBackup, Do: backup,
	}, {
		Name: "backup", Command: "export", Keeper: true, Question: true, Help: "how everything is taken home as CSV and plain text",
		Forms: []string{"^export$", "^export everything|all", "^export our|the|my data|records", "^how * export"}, Fill: []string{"how", "do", "can", "i", "we", "our", "the", "my", "data", "records", "everything", "all", "it", "to", "export"},
		Examples: []desk.Example{{Line: "export everything"}, {Line: "how do I export our data"}, {Line: "/export"}}, Do: exportHow,
	}}
}

// exportHow says how an export is made: it holds everything, so it goes to the machine's
// own disk and through no chat.
func exportHow(*desk.Request) (desk.Reply, error) {
	return desk.Answer("An export is made on the machine that runs me, not in the chat: yardbell export DIR",
		"A CSV file for each table, records.txt for reading, and COLUMNS.txt, which says what each column is.",
		"Back into an empty file: yardbell import DIR --db NEW"), nil
}

// plainBackup tells an order from talk: "backup plan: cake".
func plainBackup(req *desk.Request) bool {
	said := phrase.Words(backupSaid(req))
	return len(said) == 0 && !strings.ContainsAny(req.Text, "!") || len(said) == 1 && (said[0] == "off" || said[0] == "none") ||
		len(req.Reading.Of(phrase.KindRule)) > 0 && slices.Contains(said, "to") || strings.HasPrefix(req.Form, "^house")
}

// backupSaid is what follows the words that name the ask, thanks left out.
func backupSaid(req *desk.Request) string {
	text := strings.TrimRight(req.AfterForm(), " .!?")
	for _, thanks := range []string{" please", " thanks", " thank you", "please", "thanks"} {
		if len(text) >= len(thanks) && strings.EqualFold(text[len(text)-len(thanks):], thanks) {
			text = strings.TrimRight(text[:len(text)-len(thanks)], " ,")
		}
	}
	return text
}

const backupExample = "For example: house backup daily 03:00 to /srv/yardbell, keep 14"

// mostKept is how many copies may stay.
const mostKept = 1000

// backup shows or sets how the household's file is copied. Making the copies is the
// clock's work.
func backup(req *desk.Request) (desk.Reply, error) {
	if req.Guest || req.Shared {
		return desk.Refuse("A keeper says that from an account of their own."), nil
	}
	said := backupSaid(req)
	switch words := phrase.Words(said); {
	case len(words) == 0:
		return showBackup(req)
	case len(words) == 1 && (words[0] == "off" || words[0] == "none"):
		return set(req, storage.SetBackup, "off", "no backups are made by themselves any more")
	}
	if bad := req.Reading.Of(phrase.KindBad); len(bad) > 0 {
		return desk.Refuse(bad[0].Value.(string) + " Nothing was changed."), nil
	}
	schedule := backupSchedule(req)
	if schedule == "" {
		return desk.AskBack("How often? Daily, or on days of the week, at a time. " + backupExample), nil
	}
	o, ok := readOrder(said)
	switch {
	case !ok || o.folder == "":
		return desk.AskBack("To which folder of the machine that I run on? " + backupExample), nil
	case strings.HasPrefix(o.folder, "~"):
		return desk.AskBack("The whole path of the folder, please: I do not know whose home ~ is. " + backupExample), nil
	case o.keep < 1 || o.keep > mostKept:
		return desk.Refuse(fmt.Sprintf("Between 1 and %d copies stay. %s", mostKept, backupExample)), nil
	}
	if o.toMe {
		if reply, ok, err := mayBeSent(req); err != nil || !ok {
			return reply, err
		}
	}
	return writeBackup(req, schedule, o)
}

// backupSchedule is the repeat that was typed, empty for none that a backup can have.
func backupSchedule(req *desk.Request) string {
	rules, clock := req.Reading.Of(phrase.KindRule), clocks(req)
	if len(rules) != 1 || len(clock) > 1 {
		return ""
	}
	r := rules[0].Value.(phrase.Rule)
	if r.Freq != "DAILY" && r.Freq != "WEEKLY" || r.Interval > 1 || r.PerDay > 1 {
		return ""
	}
	at := storage.Minutes(3 * 60)
	if len(clock) == 1 {
		at = clock[0]
	}
	start := reminders.AtMinutes(reminders.Day(req.Wall), at)
	return reminders.Recurrence{Freq: r.Freq, Interval: 1, Days: r.Days, Start: start}.Spec()
}

// backupOrder is where copies go and how many stay.
type backupOrder struct {
	folder string
	keep   int
	toMe   bool
}

// readOrder reads "... to FOLDER, keep 14, and to me". A folder may have blanks in it.
func readOrder(said string) (o backupOrder, ok bool) {
	o.keep = storage.UsualKeep
	for _, me := range []string{" and send it to me", " and to my own chat", " and to my chat", " and to me", ", to me"} {
		if i := strings.LastIndex(strings.ToLower(said), me); i >= 0 {
			said, o.toMe = said[:i]+said[i+len(me):], true
		}
	}
	low := strings.ToLower(said)
	at := strings.Index(low, " to ")
	if at < 0 {
		return o, false
	}
	folder := said[at+len(" to "):]
	for _, word := range []string{", keep ", " and keep ", ", keeping ", " keep "} {
		if i := strings.LastIndex(strings.ToLower(folder), word); i >= 0 {
			rest := strings.Fields(folder[i+len(word):])
			folder = folder[:i]
			if len(rest) > 1 && (rest[0] == "the" || rest[0] == "last") {
				rest = rest[1:]
			}
			if len(rest) > 1 && rest[0] == "last" {
				rest = rest[1:]
			}
			if len(rest) > 0 {
				o.keep, _ = strconv.Atoi(strings.Trim(rest[0], ".,")) // 0 is refused
			}
		}
	}
	o.folder = strings.Trim(strings.TrimSpace(folder), `"',`)
	return o, true
}

// mayBeSent reports whether the file may go to the speaker's own chat: there has to be
// one, and the file may hold nobody else's records.
func mayBeSent(req *desk.Request) (desk.Reply, bool, error) {
	all, err := req.Tx.Households()
	if err != nil {
		return desk.Reply{}, false, err
	}
	if len(all) > 1 {
		return desk.Refuse("The file holds other households too, so it goes to no chat. Without \"to me\" it goes to the folder."), false, nil
	}
	chat, err := req.Tx.PrivateOf(req.House.ID, req.TypedBy.Name)
	if err != nil || chat != "" {
		return desk.Reply{}, err == nil, err
	}
	return desk.Refuse("You have no chat of your own with me. Write to me there first, then type this again."), false, nil
}

func writeBackup(req *desk.Request, schedule string, o backupOrder) (desk.Reply, error) {
	said := fmt.Sprintf("the file is backed up %s to %s, the last %d stay", reminders.SaySchedule(schedule), o.folder, o.keep)
	if o.toMe {
		said += ", and each goes to " + req.TypedBy.Name + " alone"
	}
	reply, err := set(req, storage.SetBackup, schedule, said)
	if err != nil {
		return reply, err
	}
	to := int64(0)
	if o.toMe {
		to = req.TypedBy.ID
	}
	for _, is := range [][2]string{{storage.SetFolder, o.folder}, {storage.SetKeep, strconv.Itoa(o.keep)}, {storage.SetBackupTo, strconv.FormatInt(to, 10)}} {
		if err := req.Tx.Set(req.House.ID, is[0], is[1]); err != nil {
			return reply, err
		}
	}
	reply.Lines = []string{"The first is made at once. If one fails, the keepers are told.", "Bring one back with: yardbell restore FILE"}
	return reply, nil
}

// showBackup tells how the file is copied, and when that was done last.
func showBackup(req *desk.Request) (desk.Reply, error) {
	plan := req.House.Backup
	if plan.Schedule == "" {
		return desk.Answer("No backups are made by themselves. " + backupExample), nil
	}
	last, made, err := req.Tx.LastBackup(req.House.ID, true)
	if err != nil {
		return desk.Reply{}, err
	}
	newest, _, err := req.Tx.LastBackup(req.House.ID, false)
	if err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer("No backup has been made yet.")
	if made {
		out = desk.Answer(fmt.Sprintf("The last backup is of %s: %s, %s.", req.Say(last.At), last.File, sayBytes(last.Bytes)))
	}
	if newest.Failed != "" {
		out.Lines = append(out.Lines, fmt.Sprintf("Failed %s: %s", req.Say(newest.At), newest.Failed))
	}
	line := fmt.Sprintf("%s to %s, the last %d stay", desk.Upper(reminders.SaySchedule(plan.Schedule)), plan.Folder, plan.Keep)
	if to := req.NameOf(plan.To); to != "" {
		line += ", and each goes to " + to + " alone"
	}
	out.Lines = append(out.Lines, line)
	return out, nil
}

func sayBytes(n int64) string {
	if n < 1<<20 {
		return fmt.Sprintf("%d kB", (n+1023)>>10)
	}
	return fmt.Sprintf("%.1f MB", float64(n)/(1<<20))
}
