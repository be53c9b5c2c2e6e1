// Package apiserver is a Bot API server for tests: it keeps to the protocol as
// published (Bot API 10.1) where the chat relies on it, refuses what the service
// refuses, and can be told to fail in every way that the service fails.
package apiserver

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"
	"unicode/utf16"
)

// Fault is a way to fail.
type Fault string

// The faults: the service is at fault, asks to wait, breaks the line, answers
// with what is no answer, or takes the message and breaks the line before saying so.
const (
	OK       Fault = ""
	Internal Fault = "500"
	TooMany  Fault = "429"
	Reset    Fault = "reset"
	Garbage  Fault = "garbage"
	Unsaid   Fault = "unsaid"
)

// Message is a message as a chat shows it now.
type Message struct {
	ID       int
	Chat     int64
	Thread   int
	Text     string // as sent, with markup
	Plain    string // as read
	ReplyTo  int
	Buttons  [][]Button
	Edited   int
	Document string
	At       time.Time
}

// Button is one inline button.
type Button struct {
	Text string `json:"text"`
	Data string `json:"callback_data"`
}

// Call is a request as it came.
type Call struct {
	Method string
	Chat   int64
	Text   string
	At     time.Time
	Waited bool // it came inside a time in which the chat was told to wait
}

// Answer is what is said to a call in place of the service's own answer: Body as it
// stands, else an error, else nothing at all until the answers are set anew.
type Answer struct {
	Code int
	Body string
}

// Server is a running service.
type Server struct {
	HTTP  *httptest.Server
	Token string
	// PerMinute is how many messages a group takes in a minute, 0 for any.
	PerMinute int
	// Privacy hides plain lines of groups from the bot.
	Privacy bool

	mu         sync.Mutex
	fails      func(method string) Fault
	answers    func(Call) *Answer
	hung       chan struct{}
	changed    chan struct{}
	nextID     int64
	updates    []update
	messages   map[int64][]*Message
	chats      map[int64]string // type of each chat that the bot is in
	movedTo    map[int64]int64
	gone       map[int64]bool
	reactions  map[string]string
	queries    map[string]bool
	told       []string // texts with which presses were answered
	topics     map[int64]map[int64]bool
	files      map[string]string
	calls      []Call
	waits      map[int64]time.Time
	recent     map[int64][]time.Time
	polling    int
	lastMsg    int
	hookURL    string
	hookSecret string
	Commands   string
}

type update struct {
	id   int64
	body map[string]any
}

// Bot is the bot's own account.
const Bot = 777000111

// New starts a service with one bot.
func New() *Server {
	s := &Server{
		Token: "777000111:AAtestToken-of_no-use", changed: make(chan struct{}), nextID: 1000, messages: map[int64][]*Message{}, chats: map[int64]string{}, movedTo: map[int64]int64{},
		gone: map[int64]bool{}, reactions: map[string]string{}, queries: map[string]bool{}, files: map[string]string{}, waits: map[int64]time.Time{}, recent: map[int64][]time.Time{}, lastMsg: 100,
		topics: map[int64]map[int64]bool{}, hung: make(chan struct{}),
	}
	s.HTTP = httptest.NewServer(s)
	return s
}

// Close ends the service.
func (s *Server) Close() {
	s.SetAnswers(nil)
	s.HTTP.CloseClientConnections()
	s.HTTP.Close()
}

// SetFails says how calls fail from now on; nil for not at all.
func (s *Server) SetFails(fails func(method string) Fault) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.fails = fails
}

// SetAnswers gives some calls another answer than the service's own: those for which
// it returns one. Nil sets the service right again.
func (s *Server) SetAnswers(answers func(Call) *Answer) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.answers = answers
	close(s.hung)
	s.hung = make(chan struct{})
}

// CloseTopic takes a topic out of a group.
func (s *Server) CloseTopic(chat, topic int64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	delete(s.topics[chat], topic)
}

// AddChat lets the bot into a chat: "group", "supergroup" or "private".
func (s *Server) AddChat(id int64, kind string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.chats[id] = kind
}

// Migrate turns a group into a supergroup.
func (s *Server) Migrate(from, to int64, tell bool) {
	s.mu.Lock()
	s.movedTo[from], s.chats[to] = to, "supergroup"
	s.mu.Unlock()
	if tell {
		s.push(map[string]any{"message": map[string]any{"message_id": s.message(), "date": time.Now().Unix(), "chat": s.chat(from), "migrate_to_chat_id": to}})
	}
}

// Remove takes the bot out of a chat.
func (s *Server) Remove(id int64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.gone[id] = true
}

func (s *Server) chat(id int64) map[string]any {
	s.mu.Lock()
	defer s.mu.Unlock()
	return map[string]any{"id": id, "type": s.chats[id], "title": "a chat"}
}

func (s *Server) message() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.lastMsg++
	return s.lastMsg
}

// User is a person's account.
type User struct {
	ID   int64
	Name string
}

func (u User) json() map[string]any {
	return map[string]any{"id": u.ID, "is_bot": false, "first_name": u.Name}
}

// Type types a line in a chat and returns the message's number. More fields of
// the message may be given.
func (s *Server) Type(chat int64, from User, text string, more ...map[string]any) int {
	id := s.message()
	m := map[string]any{"message_id": id, "date": time.Now().Unix(), "chat": s.chat(chat), "from": from.json(), "text": text, "entities": entities(text)}
	for _, extra := range more {
		for k, v := range extra {
			m[k] = v
		}
	}
	if thread, ok := m["message_thread_id"].(int); ok && m["is_topic_message"] == true {
		s.addTopic(chat, int64(thread))
	}
	s.push(map[string]any{"message": m})
	return id
}

func (s *Server) addTopic(chat, topic int64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.topics[chat] == nil {
		s.topics[chat] = map[int64]bool{}
	}
	s.topics[chat][topic] = true
}

// Edit changes a line that was typed before.
func (s *Server) Edit(chat int64, from User, message int, text string) {
	s.push(map[string]any{"edited_message": map[string]any{
		"message_id": message, "date": time.Now().Unix(), "edit_date": time.Now().Unix() + 1, "chat": s.chat(chat), "from": from.json(), "text": text, "entities": entities(text),
	}})
}

// Press presses a button of a message.
func (s *Server) Press(from User, m Message, data string) string {
	s.mu.Lock()
	id := fmt.Sprint("q", s.nextID)
	s.queries[id] = false
	s.mu.Unlock()
	markup := map[string]any{"inline_keyboard": m.Buttons}
	s.push(map[string]any{"callback_query": map[string]any{
		"id": id, "from": from.json(), "data": data, "chat_instance": "x",
		"message": map[string]any{"message_id": m.ID, "date": m.At.Unix(), "chat": s.chat(m.Chat), "text": m.Plain, "reply_markup": markup},
	}})
	return id
}

// Delete takes a message of a chat away, as its people may.
func (s *Server) Delete(chat int64, message int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.messages[chat] = slices.DeleteFunc(s.messages[chat], func(m *Message) bool { return m.ID == message })
}

// Push sends an update of any shape.
func (s *Server) Push(body map[string]any) { s.push(body) }

// Repeat sends the last update again, under the same number.
func (s *Server) Repeat(u int64, body map[string]any) {
	s.mu.Lock()
	s.updates = append(s.updates, update{u, body})
	s.wake()
	s.mu.Unlock()
}

// Hook returns the webhook that was set, and its secret.
func (s *Server) Hook() (url, secret string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.hookURL, s.hookSecret
}

// AddFile keeps a file that a document of a message may name.
func (s *Server) AddFile(id, text string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.files[id] = text
}

func entities(text string) []map[string]any {
	out := []map[string]any{}
	offset := 0
	for i, w := range strings.Split(text, " ") {
		n := len(utf16.Encode([]rune(w)))
		switch {
		case strings.HasPrefix(w, "/") && i == 0 && len(w) > 1:
			out = append(out, map[string]any{"type": "bot_command", "offset": offset, "length": n})
		case strings.HasPrefix(w, "@") && len(w) > 1:
			out = append(out, map[string]any{"type": "mention", "offset": offset, "length": n})
		}
		offset += n + 1
	}
	return out
}

func (s *Server) push(body map[string]any) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.nextID++
	s.updates = append(s.updates, update{s.nextID, body})
	s.wake()
}

func (s *Server) wake() {
	close(s.changed)
	s.changed = make(chan struct{})
}

// Shown returns what a chat shows now, oldest first.
func (s *Server) Shown(chat int64) []Message {
	s.mu.Lock()
	defer s.mu.Unlock()
	var out []Message
	for _, m := range s.messages[chat] {
		out = append(out, *m)
	}
	return out
}

// Reaction returns the reaction on a message.
func (s *Server) Reaction(chat int64, message int) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.reactions[fmt.Sprint(chat, ":", message)]
}

// Answers returns the texts with which presses were answered.
func (s *Server) Answers() []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return append([]string{}, s.told...)
}

// Unanswered counts presses that were never answered.
func (s *Server) Unanswered() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	n := 0
	for _, done := range s.queries {
		if !done {
			n++
		}
	}
	return n
}

// Calls returns all calls but those for updates.
func (s *Server) Calls() []Call {
	s.mu.Lock()
	defer s.mu.Unlock()
	return append([]Call{}, s.calls...)
}

// Waiting counts updates that were not confirmed yet.
func (s *Server) Waiting() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return len(s.updates)
}

// Polling counts the calls for updates that have not ended.
func (s *Server) Polling() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.polling
}

// Until waits until a condition holds, and reports whether it did.
func (s *Server) Until(ctx context.Context, holds func() bool) bool {
	for !holds() {
		s.mu.Lock()
		changed := s.changed
		s.mu.Unlock()
		select {
		case <-ctx.Done():
			return holds()
		case <-changed:
		case <-time.After(20 * time.Millisecond):
		}
	}
	return true
}

// ServeHTTP answers one call.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	rest, isFile := strings.CutPrefix(r.URL.Path, "/file/bot"+s.Token+"/")
	if isFile {
		s.mu.Lock()
		text, ok := s.files[rest]
		s.mu.Unlock()
		if !ok {
			http.NotFound(w, r)
			return
		}
		_, _ = io.WriteString(w, text)
		return
	}
	method, ok := strings.CutPrefix(r.URL.Path, "/bot"+s.Token+"/")
	if !ok {
		fail(w, 401, "Unauthorized", nil)
		return
	}
	p, err := params(r)
	if err != nil {
		fail(w, 400, "Bad Request: "+err.Error(), nil)
		return
	}
	if s.instead(w, r, Call{Method: method, Chat: p.int64("chat_id"), Text: p["text"], At: time.Now()}) {
		return
	}
	s.mu.Lock()
	fails, fault := s.fails, OK
	s.mu.Unlock()
	if fails != nil {
		fault = fails(method)
	}
	switch fault {
	case Internal:
		fail(w, 500, "Internal Server Error", nil)
		return
	case TooMany:
		s.tellToWait(w, p.int64("chat_id"), 1)
		return
	case Garbage:
		w.WriteHeader(http.StatusBadGateway)
		_, _ = io.WriteString(w, "<html>bad gateway</html>")
		return
	case Reset:
		hijack(w)
		return
	}
	if method == "getUpdates" {
		s.getUpdates(w, r, p)
		return
	}
	result, code, description, more := s.call(method, p)
	if fault == Unsaid {
		hijack(w)
		return
	}
	if code != 0 {
		fail(w, code, description, more)
		return
	}
	answer(w, result)
}

// instead gives a call the answer that was set for it.
func (s *Server) instead(w http.ResponseWriter, r *http.Request, c Call) bool {
	s.mu.Lock()
	answers, hung := s.answers, s.hung
	s.mu.Unlock()
	if answers == nil {
		return false
	}
	a := answers(c)
	switch {
	case a == nil:
		return false
	case a.Body != "":
		w.Header().Set("Content-Type", "application/json")
		if a.Code != 0 {
			w.WriteHeader(a.Code)
		}
		_, _ = io.WriteString(w, a.Body)
	case a.Code != 0:
		fail(w, a.Code, http.StatusText(a.Code), nil)
	default:
		select {
		case <-hung:
		case <-r.Context().Done():
		}
	}
	return true
}

func (s *Server) tellToWait(w http.ResponseWriter, chat int64, seconds int) {
	s.mu.Lock()
	s.waits[chat] = time.Now().Add(time.Duration(seconds) * time.Second)
	s.mu.Unlock()
	fail(w, 429, "Too Many Requests: retry after "+strconv.Itoa(seconds), map[string]any{"retry_after": seconds})
}

func hijack(w http.ResponseWriter) {
	if h, ok := w.(http.Hijacker); ok {
		if conn, _, err := h.Hijack(); err == nil {
			conn.Close()
		}
	}
}

func answer(w http.ResponseWriter, result any) {
	w.Header().Set("Content-Type", "application/json")
	_ = json.NewEncoder(w).Encode(map[string]any{"ok": true, "result": result})
}

func fail(w http.ResponseWriter, code int, description string, more map[string]any) {
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(code)
	body := map[string]any{"ok": false, "error_code": code, "description": description}
	if more != nil {
		body["parameters"] = more
	}
	_ = json.NewEncoder(w).Encode(body)
}

// fields are the parameters of a call.
type fields map[string]string

func (f fields) int64(name string) int64 {
	n, _ := strconv.ParseInt(f[name], 10, 64)
	return n
}

// contentType is what an upload looks like.
func contentType(h *multipart.FileHeader) string {
	f, err := h.Open()
	if err != nil {
		return ""
	}
	defer f.Close()
	head := make([]byte, 512)
	n, _ := io.ReadFull(f, head)
	return http.DetectContentType(head[:n])
}

func params(r *http.Request) (fields, error) {
	out := fields{}
	if strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/") {
		if err := r.ParseMultipartForm(64 << 20); err != nil && !strings.Contains(err.Error(), "EOF") { // a form without fields ends at once
			return out, err
		}
	} else if err := r.ParseForm(); err != nil {
		return out, err
	}
	for k, v := range r.Form {
		out[k] = v[0]
	}
	if r.MultipartForm != nil {
		for k, v := range r.MultipartForm.Value {
			out[k] = v[0]
		}
		for k, v := range r.MultipartForm.File {
			out[k] = v[0].Filename
			out[k+".type"] = contentType(v[0])
		}
	}
	return out, nil
}

func (s *Server) getUpdates(w http.ResponseWriter, r *http.Request, p fields) {
	s.mu.Lock()
	if s.polling > 0 || s.hookURL != "" {
		s.mu.Unlock()
		fail(w, 409, "Conflict: terminated by other getUpdates request; make sure that only one bot instance is running", nil)
		return
	}
	s.polling++
	defer func() { s.mu.Lock(); s.polling--; s.mu.Unlock() }()
	offset := p.int64("offset")
	kept := s.updates[:0]
	for _, u := range s.updates { // what is below the offset is confirmed
		if u.id >= offset {
			kept = append(kept, u)
		}
	}
	s.updates = kept
	deadline := time.After(time.Duration(p.int64("timeout")) * time.Second)
	for len(s.updates) == 0 {
		changed := s.changed
		s.mu.Unlock()
		select {
		case <-changed:
		case <-deadline:
			answer(w, []any{})
			return
		case <-r.Context().Done():
			return
		}
		s.mu.Lock()
	}
	limit := p.int64("limit")
	if limit == 0 {
		limit = 100
	}
	var out []map[string]any
	for _, u := range s.updates {
		if int64(len(out)) == limit {
			break
		}
		body := map[string]any{"update_id": u.id}
		for k, v := range u.body {
			body[k] = v
		}
		out = append(out, body)
	}
	s.mu.Unlock()
	answer(w, out)
}
