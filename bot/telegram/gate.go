package telegram

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"strings"
	"sync"

	"github.com/go-telegram/bot/models"
)

// gate is the HTTP client that the library is given. A call for more updates
// confirms those before it, so the gate lets it out only when all of those have
// been taken into the file: what has not been is sent again after a restart.
type gate struct {
	client *http.Client

	mu      sync.Mutex
	pending int
	idle    chan struct{} // closed while nothing is pending
}

func newGate(client *http.Client) *gate {
	g := &gate{client: client, idle: make(chan struct{})}
	close(g.idle)
	return g
}

// Do sends a request of the library.
func (g *gate) Do(req *http.Request) (*http.Response, error) {
	if !strings.HasSuffix(req.URL.Path, "/getUpdates") {
		return g.client.Do(req)
	}
	if err := g.wait(req.Context()); err != nil {
		return nil, err
	}
	resp, err := g.client.Do(req)
	if err != nil {
		return nil, err
	}
	body, err := io.ReadAll(resp.Body)
	resp.Body.Close()
	if err != nil {
		return nil, err
	}
	body, n := readable(body)
	g.expect(n)
	resp.Body, resp.ContentLength = io.NopCloser(bytes.NewReader(body)), int64(len(body))
	return resp, nil
}

func (g *gate) wait(ctx context.Context) error {
	g.mu.Lock()
	idle := g.idle
	g.mu.Unlock()
	select {
	case <-idle:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

func (g *gate) expect(n int) {
	g.mu.Lock()
	defer g.mu.Unlock()
	if n > 0 {
		g.pending, g.idle = n, make(chan struct{})
	}
}

// done is called when an update has been taken in.
func (g *gate) done() {
	g.mu.Lock()
	defer g.mu.Unlock()
	if g.pending == 0 {
		return
	}
	if g.pending--; g.pending == 0 {
		close(g.idle)
	}
}

// readable replaces updates that the library could not read by empty ones with
// their number, so that one of them does not stop all others, and counts them.
func readable(body []byte) ([]byte, int) {
	var answer struct {
		OK     bool              `json:"ok"`
		Result []json.RawMessage `json:"result"`
	}
	if err := json.Unmarshal(body, &answer); err != nil || !answer.OK {
		return body, 0
	}
	changed := false
	for i, raw := range answer.Result {
		var u models.Update
		if err := json.Unmarshal(raw, &u); err == nil {
			continue
		}
		var id struct {
			ID int64 `json:"update_id"`
		}
		_ = json.Unmarshal(raw, &id) // 0 when even that is not there
		answer.Result[i], changed = json.RawMessage(`{"update_id":`+itoa(id.ID)+`}`), true
	}
	if !changed {
		return body, len(answer.Result)
	}
	mended, err := json.Marshal(answer)
	if err != nil {
		return body, len(answer.Result)
	}
	return mended, len(answer.Result)
}
