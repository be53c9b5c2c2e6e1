package main

import (
	_ "embed"
	"fmt"
	"os"
	"strings"
	"time"

	"yardbell/bot/replay"
	"yardbell/storage"
)

// demoText is a conversation like any other. Its comments of two signs part it into
// scenes: "## " begins one that is shown, "#. " one of which only its title is.
//
//go:embed demo.txt
var demoText string

type demoCmd struct{}

// Run plays the invented household and, on a terminal, leaves the reader in its
// kitchen to try a line.
func (c *demoCmd) Run(a *app) error {
	script, err := replay.Parse(strings.NewReader(demoText))
	if err != nil {
		return fmt.Errorf("demo: %w", err)
	}
	live := terminal(a.in) && terminal(a.out) && !a.flags.JSON
	a.flags.DB = storage.Memory
	if live {
		dir, err := os.MkdirTemp("", "yardbell-demo-")
		if err != nil {
			return err
		}
		defer os.RemoveAll(dir)
		a.flags.DB = dir + "/hollin-bank.db"
	}
	p := a.player(".")
	if !a.flags.JSON {
		a.showScenes(p)
	}
	if err := p.Play(a.ctx, script); err != nil || !live {
		return err
	}
	last := script[len(script)-1].Wall
	a.flags.At, a.flags.As = last.Add(time.Minute).Format("2006-01-02 15:04"), "Maren"
	fmt.Fprintln(a.out, "\nYou are Maren now, at Hollin Bank. Try: today, rack, when lye, ring Ivo shut the hens at 20:30, help. Ctrl-D ends.")
	return (&chatCmd{}).Run(a)
}

// scene is a part of the demo.
type scene struct {
	from   int // its first line in the text
	title  string
	hidden bool
}

// scenesOf finds the scenes of a text.
func scenesOf(text string) (out []scene) {
	for i, line := range strings.Split(text, "\n") {
		if title, ok := strings.CutPrefix(line, "## "); ok {
			out = append(out, scene{from: i + 1, title: title})
		}
		if title, ok := strings.CutPrefix(line, "#. "); ok {
			out = append(out, scene{from: i + 1, title: title, hidden: true})
		}
	}
	return out
}

// showScenes has a player print the demo for a reader who is new: titles, what is typed,
// and the messages in brief.
func (a *app) showScenes(p *replay.Player) {
	f := a.format(false)
	f.Zone, f.Brief = p.Household, true
	to := scenesOf(demoText)
	var now scene
	p.Begin = func(step replay.Step) error {
		for len(to) > 0 && to[0].from < step.Line {
			now, to = to[0], to[1:]
			if _, err := fmt.Fprintf(a.out, "\n%s\n", f.Title(now.title)); err != nil {
				return err
			}
		}
		return nil
	}
	p.Typed = func(at time.Time, name, text string) error {
		if now.hidden {
			return nil
		}
		_, err := fmt.Fprintf(a.out, "%s %s: %s\n", at.In(p.Household()).Format("15:04"), name, strings.ReplaceAll(text, "\n", "\n    "))
		return err
	}
	p.Say = func(m storage.Message) error {
		if now.hidden {
			return nil
		}
		return f.Print(a.out, m)
	}
}
