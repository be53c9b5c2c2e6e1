package telegram

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
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

// What becomes of an answer that is none. The library would put its text into an
// error, and the text may be the household's.
var (
	errCutShort = errors.New("the service's answer broke off")
	errNoAnswer = errors.New("what came is no answer of the service")
	errTooLarge = errors.New("the service finds the message too large")
)

// Do sends a request of the library, and hands it only an answer that it can read.
func (g *gate) Do(req *http.Request) (*http.Response, error) {
	polls := strings.HasSuffix(req.URL.Path, "/getUpdates")
	if polls {
		if err := g.wait(req.Context()); err != nil {
			return nil, err
		}
	}
	resp, err := g.client.Do(req)
	if err != nil {
		return nil, err
	}
	body, err := io.ReadAll(resp.Body)
	resp.Body.Close()
	switch {
	case err != nil:
		return nil, fmt.Errorf("%w: %w", errCutShort, err)
	case resp.StatusCode == http.StatusRequestEntityTooLarge:
		return nil, errTooLarge
	}
	if polls {
		updates := 0
		body, updates = readable(body)
		g.expect(updates)
	}
	if json.Unmarshal(body, &response{}) != nil {
		return nil, fmt.Errorf("%w (status %d)", errNoAnswer, resp.StatusCode)
	}
	resp.Body, resp.ContentLength = io.NopCloser(bytes.NewReader(body)), int64(len(body))
	return resp, nil
}

// response is the shape in which the library reads what the service answers.
type response struct {
	OK          bool            `json:"ok"`
	Result      json.RawMessage `json:"result"`
	Description string          `json:"description"`
	ErrorCode   int             `json:"error_code"`
	Parameters  struct {
		RetryAfter      int `json:"retry_after"`
		MigrateToChatID int `json:"migrate_to_chat_id"`
	} `json:"parameters"`
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

// readable writes an answer with updates anew, so that the library can read it, and
// counts them. An update that it could not read becomes an empty one with its
// number, so that one of them does not stop all others; one without a number is
// left out.
func readable(body []byte) (mended []byte, updates int) {
	var given struct {
		OK     bool              `json:"ok"`
		Result []json.RawMessage `json:"result"`
	}
	if err := json.Unmarshal(body, &given); err != nil || !given.OK {
		return body, 0
	}
	kept := given.Result[:0]
	for _, raw := range given.Result {
		var id struct {
			ID int64 `json:"update_id"`
		}
		if json.Unmarshal(raw, &id) != nil || id.ID == 0 {
			continue
		}
		if json.Unmarshal(raw, &models.Update{}) != nil {
			raw = json.RawMessage(`{"update_id":` + itoa(id.ID) + `}`)
		}
		kept = append(kept, raw)
	}
	given.Result = kept
	mended, err := json.Marshal(given)
	if err != nil {
		return body, 0
	}
	return mended, len(kept)
}
