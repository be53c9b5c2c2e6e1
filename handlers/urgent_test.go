package handlers_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"yardbell/handlers"
	"yardbell/storage"
)

// TestCryForHelp is answered with first aid, at once, whoever types it: a child, a
// guest, somebody unknown, on the tablet that everyone uses, and in a message with
// other lines.
func TestCryForHelp(t *testing.T) {
	for name, in := range map[string]handlers.Heard{
		"child":             {Line: storage.Line{Name: "Pim", Text: "lye in my eye"}},
		"hand for another":  {Line: storage.Line{Name: "Edda", Text: "Ivo: lye in my eye"}},
		"guest":             {Line: storage.Line{Name: "Ruth", Text: "Ivo swallowed lye"}, Guest: true},
		"unknown":           {Line: storage.Line{Name: "Ruth", Text: "what do i do for a lye burn"}},
		"tablet":            {Line: storage.Line{Name: "Tablet", Text: "lye on my hand"}, Shared: true},
		"tablet, named":     {Line: storage.Line{Name: "Tablet", Text: "Pim: burned by lye"}, Shared: true},
		"in several lines":  {Line: storage.Line{Name: "Maren", Text: "eggs 14\nlye 500 g lard\ngot lye on my hand"}},
		"unknown, of lines": {Line: storage.Line{Name: "Ruth", Text: "hello\nlye in his eye"}},
		"to the bot":        {Line: storage.Line{Name: "Lise", Text: "lye on my arm"}, Direct: true},
	} {
		t.Run(name, func(t *testing.T) {
			replies := newHome(t).hear(in)
			require.NotEmpty(t, replies)
			require.Contains(t, replies[len(replies)-1].Text(), "running water, now")
			require.Equal(t, storage.OK, replies[len(replies)-1].Status)
		})
	}
}

// TestACryIsToldToAll: the others hear at once of a burn, an adult's as a child's; who
// only reads the page calls nobody, and while lye is open the page is a call.
func TestACryIsToldToAll(t *testing.T) {
	for line, by := range map[string]string{"help I got lye on my hand": "Maren", "lye in my eye": "Pim", "Ivo swallowed lye": "Edda"} {
		told := newHome(t).hear(handlers.Heard{Line: storage.Line{Name: by, Text: line}})
		require.Contains(t, told[0].Text(), "HELP, lye burn, says "+by+": \""+line+"\"", line)
		require.Empty(t, told[0].To)
		require.Equal(t, storage.KindNotice, told[0].Kind)
		require.Contains(t, told[1].Text(), "running water, now", "and the page to who typed it")
	}
	h := newHome(t)
	for _, line := range []string{"help burn", "/burn"} {
		require.Len(t, h.hear(handlers.Heard{Line: storage.Line{Name: "Maren", Text: line}}), 1, line)
	}
	h.hear(handlers.Heard{Line: storage.Line{Name: "Maren", Text: "rope off the kitchen"}})
	require.Contains(t, h.hear(handlers.Heard{Line: storage.Line{Name: "Maren", Text: "/help burn"}})[0].Text(), "HELP")
}

// TestAnimalInTrouble is answered at once, whoever types it, and writes nothing.
func TestAnimalInTrouble(t *testing.T) {
	for name, in := range map[string]handlers.Heard{
		"child":            {Line: storage.Line{Name: "Pim", Text: "sow straining for an hour no piglets"}},
		"hand for another": {Line: storage.Line{Name: "Edda", Text: "Ivo: the sow has been straining for an hour"}},
		"guest":            {Line: storage.Line{Name: "Ruth", Text: "your sow has been pushing 2 hours nothing yet"}, Guest: true},
		"unknown":          {Line: storage.Line{Name: "Ruth", Text: "the ewe's waters broke an hour ago and no lamb"}},
		"tablet":           {Line: storage.Line{Name: "Tablet", Text: "sow straining an hour"}, Shared: true},
		"in several lines": {Line: storage.Line{Name: "Maren", Text: "eggs 14\ndoe in labour 2 hours nothing"}},
		"to the bot":       {Line: storage.Line{Name: "Lise", Text: "sow straining an hour"}, Direct: true},
	} {
		t.Run(name, func(t *testing.T) {
			replies := newHome(t).hear(in)
			require.NotEmpty(t, replies)
			require.Contains(t, replies[len(replies)-1].Text(), "Call the vet now")
			require.Equal(t, storage.OK, replies[len(replies)-1].Status)
		})
	}
}

// TestTalkOfLyeIsNoCry: the first-aid page stays away from what is only said of lye,
// by people who are not known too.
func TestTalkOfLyeIsNoCry(t *testing.T) {
	for _, text := range []string{"that lye burns", "lye burns ivo, gloves ON", "mind you don't spill the lye", "is there lye on hand for saturday"} {
		for _, m := range newHome(t).hear(handlers.Heard{Line: storage.Line{Name: "Ruth", Text: text}, Guest: true}) {
			require.NotContains(t, m.Text(), "running water, now", text)
		}
	}
}

// TestChildComesWhileLyeIsOpen: whoever types that a child is at home, or near, while a room
// is roped off is told first to keep it out, and all are told once.
func TestChildComesWhileLyeIsOpen(t *testing.T) {
	for name, in := range map[string]handlers.Heard{
		"child":           {Line: storage.Line{Name: "Lise", Text: "im home"}},
		"parent":          {Line: storage.Line{Name: "Tom", Text: "Pim is home"}},
		"for a child":     {Line: storage.Line{Name: "Tom", Text: "Lise: im home"}},
		"guest":           {Line: storage.Line{Name: "Ruth", Text: "the kids are here at the gate"}, Guest: true},
		"unknown":         {Line: storage.Line{Name: "Ruth", Text: "I am bringing Pim home"}},
		"tablet":          {Line: storage.Line{Name: "Tablet", Text: "im home"}, Shared: true},
		"tablet, named":   {Line: storage.Line{Name: "Tablet", Text: "Pim: im home"}, Shared: true},
		"in several":      {Line: storage.Line{Name: "Tom", Text: "eggs 14\nPim is home"}},
		"a button's line": {Line: storage.Line{Name: "Tom", Text: "Pim is home today"}, Button: "b1"},
	} {
		t.Run(name, func(t *testing.T) {
			h := newHome(t)
			h.hear(said("Maren", "rope off the kitchen"))
			all := h.hear(in)
			notices := 0
			for _, m := range all {
				if m.Kind == storage.KindNotice {
					notices++
					require.Contains(t, m.Text(), "Maren and Tom")
					require.Contains(t, m.Text(), "roped off")
				}
			}
			require.Equal(t, 1, notices)
			reply := all[len(all)-1].Text()
			require.Contains(t, reply, "The kitchen is roped off since")
			require.Contains(t, reply, "out until a keeper says all clear")
			require.Empty(t, all[len(all)-1].Buttons)
		})
	}
}

// TestChildIsToldOfOnce: the same word again within minutes is answered and told to nobody
// else.
func TestChildIsToldOfOnce(t *testing.T) {
	h := newHome(t)
	h.hear(said("Maren", "rope off the kitchen"))
	require.Len(t, h.hear(said("Lise", "im home")), 2)
	require.Len(t, h.hear(said("Lise", "I am home")), 1)
}

// TestSpillOnSomebody: all are called for somebody whom lye was spilled over, and told of a
// room for a spill alone.
func TestSpillOnSomebody(t *testing.T) {
	for text, wants := range map[string]string{
		"lye spilled on the floor":  "lye is spilled",
		"spilled lye on my arm":     "HELP, lye burn",
		"spilled lye all over Lise": "HELP, lye burn",
		"lye spilled it burns":      "HELP, lye burn",
	} {
		var notices []string
		for _, m := range newHome(t).hear(said("Edda", text)) {
			if m.Kind == storage.KindNotice {
				notices = append(notices, m.Text())
			}
		}
		require.Contains(t, strings.Join(notices, "\n"), wants, text)
		require.Contains(t, strings.Join(notices, "\n"), "roped off", text)
	}
}

// TestMishapWhileLyeIsOpen: a hurt is told to all though lye is not named, with what to do first,
// and the same words are nothing while no room is roped off.
func TestMishapWhileLyeIsOpen(t *testing.T) {
	for text, wants := range map[string]string{
		"splash in my eye":          "HELP, lye burn",
		"I touched the white stuff": "running water at once",
		"Pim drank something":       "HELP, lye burn",
		"its fuming":                "into fresh air at once",
		"I feel faint":              "into fresh air at once",
		"its boiled over":           "Lye is spilled, says Lise",
		"cat got in":                "An animal is in the kitchen while it is roped off",
	} {
		h := newHome(t)
		h.hear(said("Maren", "rope off the kitchen"))
		var notices []string
		for _, m := range h.hear(said("Lise", text)) {
			if m.Kind == storage.KindNotice {
				notices = append(notices, m.Text())
			}
		}
		require.Len(t, notices, 1, text)
		require.Contains(t, notices[0], wants)
		for _, m := range newHome(t).hear(said("Lise", text)) {
			require.NotEqual(t, storage.KindNotice, m.Kind, text)
		}
	}
}
