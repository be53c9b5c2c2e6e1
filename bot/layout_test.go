package main

import (
	"encoding/json"
	"errors"
	"go/ast"
	"go/parser"
	"go/token"
	"io"
	"io/fs"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

const module = "yardbell"

// mayImport says which parts of the house each part may import, by prefix. A
// part that is not listed may import none.
var mayImport = map[string][]string{
	"calc":                   {},
	"storage":                {},
	"reminders":              {"calc", "storage"},
	"handlers/phrase":        {"calc"},
	"handlers/desk":          {"calc", "reminders", "storage", "handlers/phrase", "handlers/paper"},
	"handlers/house":         {"calc", "reminders", "storage", "handlers/phrase", "handlers/paper", "handlers/desk", "handlers/ical"},
	"handlers/day":           {"calc", "reminders", "storage", "handlers/phrase", "handlers/paper", "handlers/desk"},
	"handlers/bells":         {"calc", "reminders", "storage", "handlers/phrase", "handlers/desk"},
	"handlers/picture":       {},
	"handlers/paper":         {},
	"handlers/ical":          {},
	"handlers/soap":          {"calc", "reminders", "storage", "handlers/phrase", "handlers/paper", "handlers/desk", "handlers/picture"},
	"handlers/garden":        {"calc", "reminders", "storage", "handlers/phrase", "handlers/paper", "handlers/desk", "handlers/picture"},
	"handlers/kitchen":       {"calc", "reminders", "storage", "handlers/phrase", "handlers/paper", "handlers/desk", "handlers/picture"},
	"handlers/chores":        {"calc", "reminders", "storage", "handlers/phrase", "handlers/paper", "handlers/desk"},
	"handlers/barn":          {"calc", "reminders", "storage", "handlers/phrase", "handlers/paper", "handlers/desk", "handlers/picture"},
	"handlers":               {"reminders", "storage", "handlers"},
	"bot/console":            {"storage", "handlers/picture"},
	"bot/outbox":             {"storage"},
	"bot/attach":             {"handlers", "storage"},
	"bot/telegram":           {"bot/outbox", "handlers", "handlers/picture", "storage"},
	"bot/telegram/apiserver": {},
	"bot/replay":             {"bot/attach", "bot/outbox", "handlers", "reminders", "storage"},
	"bot":                    {"bot", "handlers", "reminders", "storage"},
}

// thirdParty keeps libraries behind their walls.
var thirdParty = map[string]string{
	"modernc.org/sqlite":         "storage",
	"github.com/pressly/goose":   "storage",
	"github.com/alecthomas/kong": "bot",
	"github.com/chzyer/readline": "bot",
	"golang.org/x/term":          "bot",
	"github.com/go-telegram/bot": "bot/telegram",
	"golang.org/x/time":          "bot/outbox",
	"golang.org/x/image":         "handlers/picture",
	"gonum.org/v1/gonum":         "calc",
	"github.com/arran4":          "handlers/ical",
}

type listed struct {
	ImportPath string
	Imports    []string
}

// TestImportsRunOneWay fails when a desk imports a desk, calc anything of the
// project, or storage anything above it.
func TestImportsRunOneWay(t *testing.T) {
	cmd := exec.Command("go", "list", "-json=ImportPath,Imports", "./...")
	cmd.Dir = ".."
	out, err := cmd.Output()
	require.NoError(t, err)
	packages := 0
	for dec := json.NewDecoder(strings.NewReader(string(out))); ; packages++ {
		var p listed
		err := dec.Decode(&p)
		if errors.Is(err, io.EOF) {
			break
		}
		require.NoError(t, err)
		checkImports(t, p)
	}
	require.Greater(t, packages, 10)
}

func checkImports(t *testing.T, p listed) {
	t.Helper()
	from := strings.TrimPrefix(p.ImportPath, module+"/")
	part, known := partOf(from)
	require.True(t, known, "say in mayImport what %s may import", from)
	for _, imp := range p.Imports {
		to, ours := strings.CutPrefix(imp, module+"/")
		if ours {
			require.True(t, allowed(part, to), "%s must not import %s", from, to)
		}
		for lib, home := range thirdParty {
			if strings.HasPrefix(imp, lib) {
				require.True(t, from == home || strings.HasPrefix(from, home+"/"), "%s must not import %s", from, imp)
			}
		}
	}
}

// partOf returns the entry of mayImport that a package falls under.
func partOf(pkg string) (string, bool) {
	if _, ok := mayImport[pkg]; ok {
		return pkg, true
	}
	if strings.HasPrefix(pkg, "calc/") {
		return "calc", true
	}
	return "", false
}

func allowed(part, to string) bool {
	for _, prefix := range mayImport[part] {
		if to == prefix || strings.HasPrefix(to, prefix+"/") {
			return true
		}
	}
	return false
}

// TestTimeIsPassedIn fails when anything outside bot asks the machine what time
// it is, or for the machine's zone.
func TestTimeIsPassedIn(t *testing.T) {
	banned := map[string]bool{"Now": true, "Since": true, "Until": true, "Sleep": true, "After": true, "Tick": true, "NewTimer": true, "NewTicker": true, "AfterFunc": true, "Local": true}
	files := 0
	for _, dir := range []string{"../calc", "../storage", "../reminders", "../handlers"} {
		err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
				return err
			}
			files++
			f, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
			require.NoError(t, err)
			ast.Inspect(f, func(n ast.Node) bool {
				if sel, ok := n.(*ast.SelectorExpr); ok {
					if x, ok := sel.X.(*ast.Ident); ok && x.Name == "time" && x.Obj == nil {
						require.False(t, banned[sel.Sel.Name], "%s uses time.%s", path, sel.Sel.Name)
					}
				}
				return true
			})
			return nil
		})
		require.NoError(t, err)
	}
	require.Greater(t, files, 30)
}
