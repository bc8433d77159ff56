package preview

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"benchwright/render/site"
	"benchwright/schema"
)

const html = `<!doctype html><html><head><meta http-equiv="Content-Security-Policy" content="default-src &#39;none&#39;; script-src &#39;self&#39;"></head><body>%s</body></html>`

func page(text string) []site.File {
	return []site.File{{Path: "index.html", Data: []byte(strings.Replace(html, "%s", text, 1))}, {Path: "data/a.csv", Data: []byte("a\n")}}
}

// builder gives what the test puts into it.
type builder struct {
	Built
	err error
}

func (b *builder) build() (Built, error) { return b.Built, b.err }

func get(t *testing.T, c *http.Client, address string) (int, string) {
	t.Helper()
	r, err := c.Get(address)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	body, err := io.ReadAll(r.Body)
	if err != nil {
		t.Fatal(err)
	}
	return r.StatusCode, string(body)
}

func TestLastGoodSiteStaysOnABrokenEdit(t *testing.T) {
	b := &builder{Built: Built{Files: page("first")}}
	s := New(b.build)
	s.Rebuild()
	server := httptest.NewServer(s.Handler())
	defer server.Close()
	c := server.Client()
	if _, body := get(t, c, server.URL+"/"); !strings.Contains(body, "first") || !strings.Contains(body, "/-/preview.js") || !strings.Contains(body, "connect-src &#39;self&#39;") {
		t.Errorf("the page is %s", body)
	}
	b.Built = Built{Findings: []schema.Finding{{Rule: "unknown-key", Message: "no such key"}}}
	state, _ := s.Rebuild()
	if !state.Broken || state.Edition != 1 {
		t.Errorf("after a broken edit the state is %+v", state)
	}
	if _, body := get(t, c, server.URL+"/index.html"); !strings.Contains(body, "first") {
		t.Errorf("the last good page is gone: %s", body)
	}
	b.Built, b.err = Built{}, errors.New("a template cannot be read")
	if state, _ := s.Rebuild(); !state.Broken || state.Fault == "" {
		t.Errorf("after a fault the state is %+v", state)
	}
	b.Built, b.err = Built{Files: page("second")}, nil
	if state, changed := s.Rebuild(); state.Broken || state.Edition != 2 || changed != 1 {
		t.Errorf("after the repair the state is %+v, %d changed", state, changed)
	}
	if status, _ := get(t, c, server.URL+"/../../etc/passwd"); status != http.StatusNotFound {
		t.Errorf("a path outside gives %d", status)
	}
}

func TestOpenPagesAreTold(t *testing.T) {
	b := &builder{Built: Built{Files: page("first")}}
	s := New(b.build)
	s.Rebuild()
	server := httptest.NewServer(s.Handler())
	defer server.Close()
	ctx, cancel := context.WithTimeout(t.Context(), 10*time.Second)
	defer cancel()
	request, err := http.NewRequestWithContext(ctx, http.MethodGet, server.URL+"/-/events", nil)
	if err != nil {
		t.Fatal(err)
	}
	r, err := server.Client().Do(request)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	lines := bufio.NewScanner(r.Body)
	next := func() State {
		for lines.Scan() {
			if data, ok := strings.CutPrefix(lines.Text(), "data: "); ok {
				var s State
				if err := json.Unmarshal([]byte(data), &s); err != nil {
					t.Fatal(err)
				}
				return s
			}
		}
		t.Fatal("the stream ended")
		return State{}
	}
	if s := next(); s.Edition != 1 {
		t.Errorf("first news: %+v", s)
	}
	b.Files = page("second")
	s.Rebuild()
	if s := next(); s.Edition != 2 {
		t.Errorf("second news: %+v", s)
	}
}

func TestForeignHostIsRefused(t *testing.T) {
	s := New((&builder{Built: Built{Files: page("x")}}).build)
	s.Rebuild()
	for host, want := range map[string]int{
		"localhost:80": 200, "127.0.0.1": 200, "[::1]:8": 200, "evil.example": 403, "evil.example:80": 403, "192.168.1.5:80": 403, "bench.example": 200,
	} {
		s.hosts = nil
		s.Allow("bench.example")
		r := httptest.NewRequest(http.MethodGet, "/", nil)
		r.Host = host
		w := httptest.NewRecorder()
		s.Handler().ServeHTTP(w, r)
		if w.Code != want {
			t.Errorf("host %s gives %d, want %d", host, w.Code, want)
		}
	}
}

func TestBenchFormNeedsACodeThatWorksOnce(t *testing.T) {
	s := New((&builder{Built: Built{Files: page("x")}}).build)
	s.Rebuild()
	var codes []string
	var entries []Entry
	s.Bench(Recorder{
		Form: func() (Form, error) {
			return Form{Configurations: []Choice{{"a", "A"}}, Workloads: []Choice{{"w", "W"}}, Sessions: []Choice{{"s", "S"}}, Outcomes: []string{"ok"}}, nil
		},
		Record: func(e Entry) Answer {
			entries = append(entries, e)
			if e.Value == "4.2" && !e.EvenSo {
				return Answer{Doubt: "expected 41 to 43"}
			}
			return Answer{Done: "written"}
		},
	}, func(c string) { codes = append(codes, c) })
	server := httptest.NewServer(s.Handler())
	defer server.Close()
	device := func() *http.Client {
		jar, err := cookiejar.New(nil)
		if err != nil {
			t.Fatal(err)
		}
		return &http.Client{Jar: jar}
	}
	post := func(c *http.Client, values url.Values) (int, string) {
		r, err := c.PostForm(server.URL+"/-/bench", values)
		if err != nil {
			t.Fatal(err)
		}
		defer r.Body.Close()
		body, err := io.ReadAll(r.Body)
		if err != nil {
			t.Fatal(err)
		}
		return r.StatusCode, string(body)
	}
	phone := device()
	if _, body := get(t, phone, server.URL+"/-/bench"); !strings.Contains(body, "Code shown in the terminal") || strings.Contains(body, codes[0]) {
		t.Errorf("without a code the form is %s", body)
	}
	if status, _ := post(phone, url.Values{"value": {"42"}}); status != http.StatusForbidden || len(entries) != 0 {
		t.Fatalf("without a code an entry gives %d and %d entries", status, len(entries))
	}
	first := codes[0]
	if _, body := post(phone, url.Values{"code": {strings.ToLower(first)}}); !strings.Contains(body, "Configuration") {
		t.Fatalf("with the code the form is %s", body)
	}
	if status, _ := post(device(), url.Values{"code": {first}}); status != http.StatusForbidden {
		t.Errorf("the code worked twice: %d", status)
	}
	if _, body := post(phone, url.Values{"configuration": {"a"}, "workload": {"w"}, "session": {"s"}, "value": {"4.2"}}); !strings.Contains(body, "expected 41 to 43") || !strings.Contains(body, "even-so") {
		t.Errorf("an odd value gives %s", body)
	}
	if _, body := post(phone, url.Values{"value": {"4.2"}, "even-so": {"yes"}}); !strings.Contains(body, "written") {
		t.Errorf("an odd value that is meant gives %s", body)
	}
	numberIn := func(body string) string {
		_, rest, _ := strings.Cut(body, `name="number" value="`)
		number, _, _ := strings.Cut(rest, `"`)
		return number
	}
	// The same form sent again is recorded once; what was refused of it may be sent
	// again, and the next form is another.
	_, body := get(t, phone, server.URL+"/-/bench")
	form := url.Values{"value": {"41"}, "number": {numberIn(body)}}
	count := len(entries)
	_, next := post(phone, form)
	if _, body := post(phone, form); !strings.Contains(body, "That was recorded already. written") || len(entries) != count+1 || strings.Contains(next, "already") {
		t.Errorf("sent twice there are %d entries: %s", len(entries)-count, body)
	}
	form["number"] = []string{numberIn(next)}
	if _, body := post(phone, form); strings.Contains(body, "already") || len(entries) != count+2 {
		t.Errorf("the next form gives %s", body)
	}
	_, body = get(t, phone, server.URL+"/-/bench")
	form = url.Values{"value": {"4.2"}, "number": {numberIn(body)}}
	post(phone, form)
	form["even-so"] = []string{"yes"}
	if _, body := post(phone, form); strings.Contains(body, "already") || !strings.Contains(body, "written") {
		t.Errorf("a doubt that was answered gives %s", body)
	}
	before := len(codes)
	for range mostWrong {
		post(device(), url.Values{"code": {"WRONG"}})
	}
	if len(codes) != before+1 {
		t.Errorf("after %d wrong codes there are %d new ones, want 1", mostWrong, len(codes)-before)
	}
	r, err := http.NewRequest(http.MethodPost, server.URL+"/-/bench", strings.NewReader("value=1"))
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Origin", "http://evil.example")
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	answer, err := phone.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	answer.Body.Close()
	if answer.StatusCode != http.StatusForbidden {
		t.Errorf("a form from another site gives %d", answer.StatusCode)
	}
}

func TestBenchIsOffUnlessAskedFor(t *testing.T) {
	s := New((&builder{Built: Built{Files: page("x")}}).build)
	s.Rebuild()
	server := httptest.NewServer(s.Handler())
	defer server.Close()
	if status, _ := get(t, server.Client(), server.URL+"/-/bench"); status != http.StatusNotFound {
		t.Errorf("the form is there: %d", status)
	}
}

func TestWatchSeesNewFoldersAndPassesHiddenFilesOver(t *testing.T) {
	dir := t.TempDir()
	changes := make(chan struct{}, 100)
	ready := make(chan struct{})
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- Watch(ctx, dir, ready, func() { changes <- struct{}{} }) }()
	<-ready
	write := func(name string) {
		t.Helper()
		full := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(full), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(full, []byte("x"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	seen := func() bool {
		select {
		case <-changes:
			return true
		case <-time.After(5 * time.Second):
			return false
		}
	}
	write("report.yaml")
	if !seen() {
		t.Fatal("a new file was not seen")
	}
	if err := os.Mkdir(filepath.Join(dir, "results"), 0o755); err != nil {
		t.Fatal(err)
	}
	if !seen() {
		t.Fatal("a new folder was not seen")
	}
	write("results/a.csv")
	if !seen() {
		t.Fatal("a file in a new folder was not seen")
	}
	write(".report.yaml.swp")
	select {
	case <-changes:
		t.Error("a hidden file was taken for a change")
	case <-time.After(4 * quiet):
	}
	cancel()
	if err := <-ended; err != nil {
		t.Errorf("the watch ended with %v", err)
	}
}
