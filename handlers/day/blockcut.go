package day

import (
	"fmt"
	"slices"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/reminders"
	"yardbell/storage"
)

// Blocks of one name: two schools, supper later on Sundays. A line about some of the people
// or some of the days changes these and leaves the rest as it stands.

// blocksCalled are the blocks of a name.
func blocksCalled(req *desk.Request, title string) ([]storage.Block, error) {
	all, err := blocksOf(req)
	return slices.DeleteFunc(all, func(b storage.Block) bool { return !strings.EqualFold(b.Title, title) }), err
}

// cut is what is left of a block when people are out of it on some days.
func cut(req *desk.Request, b storage.Block, out []int64, days storage.Weekdays) []storage.Block {
	ids := idsOf(req, b.Whom)
	stay := slices.DeleteFunc(slices.Clone(ids), func(id int64) bool { return slices.Contains(out, id) })
	if len(stay) == len(ids) || b.Days&days == 0 {
		return []storage.Block{b}
	}
	var left []storage.Block
	whole := b
	if whole.Days = b.Days &^ days; whole.Days != 0 {
		left = append(left, whole)
	}
	if len(stay) > 0 {
		some := b
		some.Days, some.Whom = b.Days&days, reminders.People(stay...)
		left = append(left, some)
	}
	return left
}

// leftBeside is what is left of a block when another of its name is written down. One of
// the same hours and people is the same on other days, and school on weekdays leaves
// none on the weekend: nobody is to count as there who is at home.
func leftBeside(req *desk.Request, old, is storage.Block) []storage.Block {
	sameHours := old.First == is.First && old.Past == is.Past && old.Whom == is.Whom
	weekend := isLessons(is) && is.Days == storage.Working && old.Days == storage.EveryDay && old.Whom == is.Whom
	if old.Days&is.Days != 0 && (sameHours || weekend) {
		return nil
	}
	return cut(req, old, idsOf(req, is.Whom), is.Days)
}

// replace puts other blocks in the place of one.
func replace(req *desk.Request, old storage.Block, by []storage.Block) error {
	if len(by) == 1 && by[0] == old {
		return nil
	}
	err := req.Tx.DropBlock(old.ID)
	if old.ID == 0 {
		err = req.Tx.Set(req.House.ID, storage.SetSchool, "off")
	}
	for _, b := range by {
		if err == nil {
			err = req.Tx.AddBlock(b)
		}
	}
	return err
}

// putBlock writes a block down in the place of what of its name it takes over. School for
// all the children is kept as the household's school hours. Parted is a block of which the
// part of the day was said: one of another part stands beside it.
func putBlock(req *desk.Request, is storage.Block, parted bool) (desk.Reply, error) {
	same, err := blocksCalled(req, is.Title)
	if err != nil {
		return desk.Reply{}, err
	}
	text := sayBlock(req, is)
	if err := req.Record(storage.Entry{Kind: "block", About: "block:" + is.Title, Text: text}); err != nil {
		return desk.Reply{}, err
	}
	reply := desk.Answer(desk.Upper(text) + ".")
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	var was []string
	for _, old := range same {
		left := leftBeside(req, old, is)
		if parted && otherPart(old, is) {
			left = []storage.Block{old}
		}
		if len(left) == 0 && sayBlock(req, old) != text {
			was = append(was, "in place of: "+sayBlock(req, old))
		}
		if err := replace(req, old, left); err != nil {
			return desk.Reply{}, err
		}
		for _, b := range left {
			reply.Lines = append(reply.Lines, "beside it: "+sayBlock(req, b))
		}
	}
	if is.Title == schoolTitle && len(reply.Lines) == 0 && is.Whom == reminders.Kids && is.Place == "" && (is.Days == storage.Working || is.Days == storage.EveryDay) {
		hours := storage.Span{On: true, From: is.First, To: is.Past, Weekdays: is.Days == storage.Working}
		err = req.Tx.Set(req.House.ID, storage.SetSchool, hours.String())
	} else {
		err = req.Tx.AddBlock(is)
	}
	if err != nil {
		return desk.Reply{}, err
	}
	reply.Lines = slices.Concat(was, reply.Lines, overnight(req, is))
	if is.Open {
		reply.Lines = append(reply.Lines, "kept for jobs: they are laid there first")
	}
	if reply, err = sayChildren(req, is, reply); err != nil {
		return desk.Reply{}, err
	}
	return laidAnew(req, reply)
}

// blocksMeant are the blocks of a name that a line means: of several, those whose people,
// days and hours it gives.
func blocksMeant(req *desk.Request, title string) ([]storage.Block, error) {
	all, err := blocksCalled(req, title)
	if err != nil || len(all) < 2 {
		return all, err
	}
	said := readBlock(req)
	ids := idsOf(req, said.Whom)
	for _, fits := range []func(storage.Block) bool{
		func(b storage.Block) bool { return said.span.said && b.First == said.First && b.Past == said.Past },
		func(b storage.Block) bool { return said.days != 0 && b.Days == said.days },
		func(b storage.Block) bool { return said.days != 0 && b.Days&said.days != 0 },
		func(b storage.Block) bool { return said.Whom != "" && slices.Equal(idsOf(req, b.Whom), ids) },
		func(b storage.Block) bool {
			return slices.ContainsFunc(idsOf(req, b.Whom), func(id int64) bool { return slices.Contains(ids, id) })
		},
	} {
		if some := slices.DeleteFunc(slices.Clone(all), func(b storage.Block) bool { return !fits(b) }); len(some) > 0 {
			all = some
		}
	}
	return all, nil
}

// oneBlock is the block that a line means, or the question which of several; say is the
// line that means one of them.
func oneBlock(req *desk.Request, title string, say func(storage.Block) string) (*storage.Block, desk.Reply) {
	all, err := blocksMeant(req, title)
	if err != nil || len(all) == 0 {
		return nil, desk.AskBack("There is no block of that name.", desk.Button("blocks"))
	}
	if len(all) == 1 {
		return &all[0], desk.Reply{}
	}
	reply := desk.AskBack(fmt.Sprintf("Which %s? There are %d.", title, len(all)))
	for _, one := range all {
		reply.Buttons = append(reply.Buttons, desk.Labelled(strings.TrimPrefix(sayBlock(req, one), one.Title+" "), say(one)))
	}
	return nil, reply
}

// dropBlock takes a block out of the day, or some people out of it, or some days.
func dropBlock(req *desk.Request) (desk.Reply, error) {
	b, reply := whichBlock(req)
	if b == nil {
		return reply, nil
	}
	said := readBlock(req)
	all, err := blocksCalled(req, b.Title)
	if err != nil {
		return desk.Reply{}, err
	}
	if !req.Mentions("all", "both") && (said.Whom == "" && said.days == 0 || said.span.said) {
		one, reply := oneBlock(req, b.Title, func(b storage.Block) string { return "drop block " + sayBlock(req, b) })
		if one == nil {
			reply.Buttons = append(reply.Buttons, desk.Labelled("All of them", "drop block "+b.Title+" all"))
			return reply, nil
		}
		all = []storage.Block{*one}
	}
	return takeOut(req, all, said.Whom, said.days)
}

// takeOut takes people out of blocks of one name on some days: all of them on all days
// where none are said.
func takeOut(req *desk.Request, all []storage.Block, whom string, days storage.Weekdays) (desk.Reply, error) {
	if reply, no := mayNot(req, "the blocks of the day"); no {
		return reply, nil
	}
	if days == 0 {
		days = storage.EveryDay
	}
	var out, left []string
	for _, b := range all {
		ids := idsOf(req, b.Whom)
		if whom != "" {
			ids = idsOf(req, whom)
		}
		rest := cut(req, b, ids, days)
		if len(rest) == 1 && rest[0] == b {
			continue
		}
		if len(out) == 0 {
			if err := req.Record(storage.Entry{Kind: "block", About: "block:" + b.Title, Text: "dropped the block " + sayBlock(req, b)}); err != nil {
				return desk.Reply{}, err
			}
		}
		if err := replace(req, b, rest); err != nil {
			return desk.Reply{}, err
		}
		out = append(out, sayBlock(req, gone(req, b, whom, days)))
		for _, r := range rest {
			left = append(left, "stays: "+sayBlock(req, r))
		}
	}
	if len(out) == 0 {
		return desk.Refuse(fmt.Sprintf("They are not in %s then. Nothing was changed.", all[0].Title), sayAll(req, all)...), nil
	}
	reply := desk.Answer("Out of the day: "+strings.Join(out, "; ")+".", left...)
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return laidAnew(req, reply)
}

// gone is the part of a block that is taken out of the day.
func gone(req *desk.Request, b storage.Block, whom string, days storage.Weekdays) storage.Block {
	b.Days &= days
	if whom != "" && whom != b.Whom {
		b.Whom = reminders.People(slices.DeleteFunc(idsOf(req, b.Whom), func(id int64) bool { return !slices.Contains(idsOf(req, whom), id) })...)
	}
	return b
}

func sayAll(req *desk.Request, all []storage.Block) (out []string) {
	for _, b := range all {
		out = append(out, sayBlock(req, b))
	}
	return out
}

// fromNowOn gives the block of a name that a line means other hours from now on.
func fromNowOn(req *desk.Request, title string) (desk.Reply, error) {
	b, reply := oneBlock(req, title, func(o storage.Block) string {
		to, _ := newTimes(req, o)
		return "block " + sayBlock(req, withHours(o, to))
	})
	if b == nil {
		return reply, nil
	}
	if reply, no := mayNot(req, "the blocks of the day"); no {
		return reply, nil
	}
	to, _ := newTimes(req, *b)
	return putBlock(req, withHours(*b, to), false)
}

// withHours is a block at other hours.
func withHours(b storage.Block, s span) storage.Block {
	b.First, b.Past = s.first, s.past
	return b
}
