// Package preview serves a report while its folder is edited.
//
// In: a way to build the site, and changes in the folder. Out: an HTTP handler
// that serves the last site that could be built, tells open pages to load
// again, and shows what is wrong in the page. It imports no other package of
// this module but render/site and schema: how a site is built, and how a
// reading is recorded, is handed in.
//
//	s := preview.New(build)
//	s.Rebuild()
//	http.Serve(listener, s.Handler())
package preview

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"fmt"
	"net"
	"net/http"
	"path"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"benchwright/render/site"
	"benchwright/schema"
)

//go:embed preview.js
var script []byte

//go:embed preview.css
var style []byte

// own is the path under which preview keeps what is not of the site.
const own = "/-/"

// Built is what a build gives: the files, nil when the folder cannot be
// published as it is, and the findings.
type Built struct {
	Files    []site.File
	Findings []schema.Finding
}

// Server holds the last good site and the pages that listen.
type Server struct {
	build func() (Built, error)

	mu       sync.RWMutex
	files    map[string][]byte
	state    State
	builds   int
	watching map[chan struct{}]bool

	bench *bench
	hosts []string
}

// State is what open pages are told.
type State struct {
	// Edition counts good builds; a page loads again when it rises.
	Edition int `json:"edition"`
	// Broken says that the folder cannot be published as it is; the site is
	// the last good one.
	Broken   bool             `json:"broken"`
	Fault    string           `json:"fault,omitempty"`
	Findings []schema.Finding `json:"findings"`
}

// New makes a server. build is called by Rebuild, one call at a time.
func New(build func() (Built, error)) *Server {
	return &Server{build: build, files: map[string][]byte{}, watching: map[chan struct{}]bool{}}
}

// Rebuild builds the site again and tells the open pages. It returns what they
// are told and how many files changed.
func (s *Server) Rebuild() (State, int) {
	built, err := s.build()
	s.mu.Lock()
	defer s.mu.Unlock()
	changed := 0
	state := State{Edition: s.state.Edition, Findings: visible(built.Findings)}
	switch {
	case err != nil:
		state.Broken, state.Fault = true, err.Error()
	case built.Files == nil:
		state.Broken = true
	default:
		next := make(map[string][]byte, len(built.Files))
		for _, f := range built.Files {
			next[f.Path] = f.Data
			if !bytes.Equal(s.files[f.Path], f.Data) {
				changed++
			}
		}
		for name := range s.files {
			if _, kept := next[name]; !kept {
				changed++
			}
		}
		s.files = next
		if changed > 0 {
			state.Edition++
		}
	}
	s.state = state
	for c := range s.watching {
		select {
		case c <- struct{}{}:
		default: // it has news waiting already
		}
	}
	return state, changed
}

// visible leaves out silenced findings; the list is never nil.
func visible(all []schema.Finding) []schema.Finding {
	out := []schema.Finding{}
	for _, f := range all {
		if f.Silenced == "" {
			out = append(out, f)
		}
	}
	slices.SortStableFunc(out, func(a, b schema.Finding) int { return int(a.Severity) - int(b.Severity) })
	return out
}

// Allow names further hosts that requests may be addressed to, besides those
// of the loopback. Without the check, a page on the web could reach the server
// by a name of its own that resolves to this machine.
func (s *Server) Allow(hosts ...string) { s.hosts = append(s.hosts, hosts...) }

// Handler serves the site.
func (s *Server) Handler() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET "+own+"preview.js", func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "text/javascript; charset=utf-8")
		w.Write(script)
	})
	mux.HandleFunc("GET "+own+"preview.css", func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "text/css; charset=utf-8")
		w.Write(style)
	})
	mux.HandleFunc("GET "+own+"events", s.events)
	if s.bench != nil {
		s.bench.routes(mux)
	}
	mux.HandleFunc("GET /", s.page)
	return s.guard(mux)
}

// guard refuses requests that are addressed to a host we do not know, and
// keeps everything out of caches.
func (s *Server) guard(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		host := r.Host
		if h, _, err := net.SplitHostPort(host); err == nil {
			host = h
		}
		host = strings.Trim(host, "[]")
		ip := net.ParseIP(host)
		if host != "localhost" && !(ip != nil && ip.IsLoopback()) && !slices.Contains(s.hosts, host) {
			http.Error(w, "this address is not served here", http.StatusForbidden)
			return
		}
		w.Header().Set("Cache-Control", "no-store")
		w.Header().Set("X-Content-Type-Options", "nosniff")
		next.ServeHTTP(w, r)
	})
}

// page serves a file of the site, HTML with the preview's script in it.
func (s *Server) page(w http.ResponseWriter, r *http.Request) {
	name := strings.TrimPrefix(path.Clean(r.URL.Path), "/")
	if name == "" || name == "." || strings.HasSuffix(r.URL.Path, "/") {
		name = path.Join(name, "index.html")
	}
	s.mu.RLock()
	data, ok := s.files[name]
	empty := len(s.files) == 0
	s.mu.RUnlock()
	switch {
	case !ok && empty:
		// Nothing good yet: a page that only shows what is wrong.
		data, ok, name = []byte("<!doctype html><html lang=\"en-GB\"><head><meta charset=\"utf-8\"><title>Preview</title></head><body><main></main></body></html>"), true, "index.html"
	case !ok:
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Content-Type", contentType(name))
	if strings.HasSuffix(name, ".html") {
		data = inject(data, s.bench != nil)
	}
	http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(data))
}

// contentType is fixed here, since the machine's own table may lack types.
func contentType(name string) string {
	types := map[string]string{
		".html": "text/html; charset=utf-8", ".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8",
		".json": "application/json", ".svg": "image/svg+xml", ".png": "image/png", ".jpg": "image/jpeg", ".jpeg": "image/jpeg",
		".webp": "image/webp", ".avif": "image/avif", ".csv": "text/csv; charset=utf-8", ".xml": "application/xml", ".atom": "application/atom+xml",
		".txt": "text/plain; charset=utf-8", ".md": "text/plain; charset=utf-8", ".yaml": "text/plain; charset=utf-8",
	}
	if t, ok := types[path.Ext(name)]; ok {
		return t
	}
	return "application/octet-stream"
}

// inject puts the preview's script and style into a page and lets them talk to
// this server, which the published policy would forbid.
func inject(page []byte, bench bool) []byte {
	for _, quote := range []string{"'", "&#39;"} {
		policy := "default-src " + quote + "none" + quote
		page = bytes.Replace(page, []byte(policy), []byte(policy+"; connect-src "+quote+"self"+quote), 1)
	}
	add := `<link rel="stylesheet" href="` + own + `preview.css"><script defer src="` + own + `preview.js"`
	if bench {
		add += ` data-bench="` + own + `bench"`
	}
	add += "></script>"
	if i := bytes.Index(page, []byte("</head>")); i >= 0 {
		return slices.Concat(page[:i], []byte(add), page[i:])
	}
	return append([]byte(add), page...)
}

// events tells a page, as server-sent events (WHATWG HTML, 9.2), the state now
// and after each build.
func (s *Server) events(w http.ResponseWriter, r *http.Request) {
	flusher, ok := w.(http.Flusher)
	if !ok {
		http.Error(w, "the connection cannot be kept open", http.StatusInternalServerError)
		return
	}
	news := make(chan struct{}, 1)
	news <- struct{}{}
	s.mu.Lock()
	s.watching[news] = true
	s.mu.Unlock()
	defer func() {
		s.mu.Lock()
		delete(s.watching, news)
		s.mu.Unlock()
	}()
	w.Header().Set("Content-Type", "text/event-stream")
	beat := time.NewTicker(15 * time.Second)
	defer beat.Stop()
	for {
		select {
		case <-r.Context().Done():
			return
		case <-beat.C:
			fmt.Fprint(w, ": still here\n\n")
		case <-news:
			s.mu.RLock()
			state := s.state
			s.mu.RUnlock()
			data, err := json.Marshal(state)
			if err != nil {
				return
			}
			fmt.Fprint(w, "id: "+strconv.Itoa(state.Edition)+"\ndata: "+string(data)+"\n\n")
		}
		flusher.Flush()
	}
}
