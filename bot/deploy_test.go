package main

import (
	"bufio"
	"os"
	"os/exec"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestUnit reads the unit for systemd: every line is a section, a comment or a
// setting, and what it runs are commands and flags that there are. Where the
// machine has systemd's own checker, that has to be content too.
func TestUnit(t *testing.T) {
	text, err := os.ReadFile("yardbell.service")
	require.NoError(t, err)
	sections, settings := 0, map[string]string{}
	for sc := bufio.NewScanner(strings.NewReader(string(text))); sc.Scan(); {
		l := strings.TrimSpace(sc.Text())
		switch {
		case l == "" || strings.HasPrefix(l, "#"):
		case regexp.MustCompile(`^\[(Unit|Service|Install)\]$`).MatchString(l):
			sections++
		default:
			key, value, ok := strings.Cut(l, "=")
			require.True(t, ok, l)
			settings[key] = value
		}
	}
	require.Equal(t, 3, sections)
	require.Equal(t, "/usr/local/bin/yardbell serve --db /var/lib/yardbell/household.db", settings["ExecStart"])
	require.Contains(t, settings["Environment"], "YARDBELL_TOKEN_FILE=")
	require.NotContains(t, string(text), "YARDBELL_TOKEN=", "the token is not in the unit")
	if checker, err := exec.LookPath("systemd-analyze"); err == nil {
		out, err := exec.Command(checker, "verify", "--man=no", "./yardbell.service").CombinedOutput()
		if err != nil {
			require.Contains(t, string(out), "/usr/local/bin/yardbell", "the checker may only miss the program itself: %s", out)
		}
	}
}

// TestContainerfile reads the recipe of the container: instructions that there
// are, a static build of this program, no token in the image.
func TestContainerfile(t *testing.T) {
	text, err := os.ReadFile("Containerfile")
	require.NoError(t, err)
	froms := 0
	for l := range strings.Lines(string(text)) {
		l = strings.TrimSpace(l)
		if l == "" || strings.HasPrefix(l, "#") {
			continue
		}
		require.Regexp(t, `^(FROM|WORKDIR|COPY|RUN|ENV|VOLUME|STOPSIGNAL|ENTRYPOINT|CMD) `, l)
		if strings.HasPrefix(l, "FROM") {
			froms++
		}
	}
	require.Equal(t, 2, froms)
	require.Contains(t, string(text), "CGO_ENABLED=0 go build")
	require.NotContains(t, string(text), "YARDBELL_TOKEN=")
}
