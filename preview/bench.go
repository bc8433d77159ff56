package preview

import (
	"crypto/rand"
	"crypto/subtle"
	"encoding/base32"
	"html/template"
	"net/http"
	"strings"
	"sync"
)

// Form is what the form at the bench offers.
type Form struct {
	Configurations, Workloads, Sessions []Choice
	Outcomes                            []string
}

// Choice is an entry of a list.
type Choice struct{ ID, Label string }

// Entry is a reading as it was sent.
type Entry struct {
	Configuration, Workload, Session, Value, Outcome, Reason, Note string
	// EvenSo says that the person was asked about the value and stands by it.
	EvenSo bool
}

// Answer is what became of an entry: Done says what was written; Doubt asks
// about an odd value; Faults say what is wrong. One of them is set.
type Answer struct {
	Done, Doubt string
	Faults      []string
}

// Recorder is handed in by the command.
type Recorder struct {
	Form   func() (Form, error)
	Record func(Entry) Answer
}

// bench is the form with its lock: a code that lets one device in, once.
type bench struct {
	Recorder
	tell func(code string)

	mu      sync.Mutex
	code    string
	wrong   int
	devices map[string]bool

	// taking lets one form in at a time, so that one that is sent twice at once
	// is taken once.
	taking sync.Mutex
	forms  map[string]string // by the number of a form: what was written of it; empty so far
}

// mostWrong is how many wrong codes are taken before a new one is made.
const mostWrong = 5

// Bench switches the form for recording on. Every device must give a code
// first; tell is called with each new code, to show it to the person at the
// machine and to nobody else. A code works once.
func (s *Server) Bench(r Recorder, tell func(code string)) {
	s.bench = &bench{Recorder: r, tell: tell, devices: map[string]bool{}, forms: map[string]string{}}
	s.bench.renew()
}

func (b *bench) renew() {
	b.code, b.wrong = secret(5), 0
	b.tell(b.code)
}

// secret is n random bytes in letters and digits that are told apart easily.
func secret(n int) string {
	data := make([]byte, n)
	rand.Read(data) // never fails (crypto/rand)
	return base32.NewEncoding("ABCDEFGHJKLMNPQRSTUVWXYZ23456789").WithPadding(base32.NoPadding).EncodeToString(data)
}

const cookie = "benchwright-bench"

func (b *bench) routes(mux *http.ServeMux) {
	mux.HandleFunc("GET "+own+"bench", b.show)
	mux.HandleFunc("POST "+own+"bench", b.take)
}

// known says whether the device has given a code.
func (b *bench) known(r *http.Request) bool {
	c, err := r.Cookie(cookie)
	if err != nil {
		return false
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.devices[c.Value]
}

// admit takes a code; it is used up by being right.
func (b *bench) admit(w http.ResponseWriter, code string) bool {
	b.mu.Lock()
	defer b.mu.Unlock()
	code = strings.ToUpper(strings.TrimSpace(code))
	if subtle.ConstantTimeCompare([]byte(code), []byte(b.code)) != 1 {
		if b.wrong++; b.wrong >= mostWrong {
			b.renew()
		}
		return false
	}
	device := secret(20)
	b.devices[device] = true
	b.renew()
	http.SetCookie(w, &http.Cookie{Name: cookie, Value: device, Path: own, HttpOnly: true, SameSite: http.SameSiteStrictMode})
	return true
}

type benchPage struct {
	Form
	Entry
	Answer
	Locked, Wrong bool
	// Number of the form, by which it is known when it is sent again.
	Number string
}

var benchTemplate = template.Must(template.New("bench").Parse(`<!doctype html>
<html lang="en-GB"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width,initial-scale=1">
<title>Record a reading</title><link rel="stylesheet" href="/-/preview.css"></head>
<body class="bench"><main><h1>Record a reading</h1>
{{if .Locked}}{{if .Wrong}}<p class="fault" role="alert">That is not the code. Look at the terminal: after five wrong ones there is a new one.</p>{{end}}
<form method="post"><label for="code">Code shown in the terminal</label><input id="code" name="code" autocomplete="off" autocapitalize="characters" required><button>Go on</button></form>
{{else}}
{{with .Done}}<p class="done" role="status">{{.}}</p>{{end}}
{{range .Faults}}<p class="fault" role="alert">{{.}}</p>{{end}}
{{with .Doubt}}<p class="fault" role="alert">{{.}}</p>{{end}}
<form method="post"><input type="hidden" name="number" value="{{.Number}}">
<label for="configuration">Configuration</label><select id="configuration" name="configuration">{{$c := .Entry.Configuration}}{{range .Configurations}}<option value="{{.ID}}"{{if eq .ID $c}} selected{{end}}>{{.Label}}</option>{{end}}</select>
<label for="workload">Workload</label><select id="workload" name="workload">{{$w := .Entry.Workload}}{{range .Workloads}}<option value="{{.ID}}"{{if eq .ID $w}} selected{{end}}>{{.Label}}</option>{{end}}</select>
<label for="session">Session</label><select id="session" name="session">{{$s := .Entry.Session}}{{range .Sessions}}<option value="{{.ID}}"{{if eq .ID $s}} selected{{end}}>{{.Label}}</option>{{end}}</select>
<label for="value">Value</label><input id="value" name="value" inputmode="decimal" autocomplete="off" value="{{.Entry.Value}}">
<label for="outcome">Outcome</label><select id="outcome" name="outcome">{{$o := .Entry.Outcome}}{{range .Outcomes}}<option{{if eq . $o}} selected{{end}}>{{.}}</option>{{end}}</select>
<label for="reason">Reason, when it does not count</label><input id="reason" name="reason" value="{{.Entry.Reason}}">
<label for="note">Note</label><input id="note" name="note" value="{{.Entry.Note}}">
{{if .Doubt}}<label><input type="checkbox" name="even-so" value="yes"> It is what I read</label>{{end}}
<button>Record</button></form>
<p><a href="/">Back to the report</a></p>{{end}}
</main></body></html>
`))

func (b *bench) answer(w http.ResponseWriter, status int, p benchPage) {
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Content-Security-Policy", "default-src 'none'; style-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'")
	var buffer strings.Builder
	if err := benchTemplate.Execute(&buffer, p); err != nil {
		http.Error(w, "the form cannot be shown", http.StatusInternalServerError)
		return
	}
	w.WriteHeader(status)
	w.Write([]byte(buffer.String()))
}

func (b *bench) show(w http.ResponseWriter, r *http.Request) {
	if !b.known(r) {
		b.answer(w, http.StatusOK, benchPage{Locked: true})
		return
	}
	b.page(w, Entry{}, Answer{})
}

func (b *bench) page(w http.ResponseWriter, e Entry, a Answer) {
	form, err := b.Form()
	if err != nil {
		a.Faults = append(a.Faults, err.Error())
	}
	b.answer(w, http.StatusOK, benchPage{Form: form, Entry: e, Answer: a, Number: b.number()})
}

// mostForms bounds the forms that are remembered; the rest are forgotten in no
// order. An evening takes some hundred.
const mostForms = 10_000

// number is that of a new form.
func (b *bench) number() string {
	b.taking.Lock()
	defer b.taking.Unlock()
	for old := range b.forms {
		if len(b.forms) < mostForms {
			break
		}
		delete(b.forms, old)
	}
	n := secret(10)
	b.forms[n] = ""
	return n
}

// once records an entry, unless the form that it came with has been recorded: a
// page that is loaded anew, or a button that is pressed twice, sends it again.
func (b *bench) once(number string, e Entry) Answer {
	b.taking.Lock()
	defer b.taking.Unlock()
	if done := b.forms[number]; done != "" {
		return Answer{Done: "That was recorded already. " + done}
	}
	a := b.Record(e)
	if _, ours := b.forms[number]; ours {
		b.forms[number] = a.Done
	}
	return a
}

func (b *bench) take(w http.ResponseWriter, r *http.Request) {
	// A form on another site must not be able to send one here.
	if origin := r.Header.Get("Origin"); origin != "" && origin != "http://"+r.Host {
		http.Error(w, "sent from another site", http.StatusForbidden)
		return
	}
	r.Body = http.MaxBytesReader(w, r.Body, 64<<10)
	if err := r.ParseForm(); err != nil {
		http.Error(w, "the form is too large or damaged", http.StatusBadRequest)
		return
	}
	if !b.known(r) {
		if !b.admit(w, r.PostForm.Get("code")) {
			b.answer(w, http.StatusForbidden, benchPage{Locked: true, Wrong: true})
			return
		}
		http.Redirect(w, r, own+"bench", http.StatusSeeOther)
		return
	}
	get := r.PostForm.Get
	e := Entry{
		Configuration: get("configuration"), Workload: get("workload"), Session: get("session"), Value: strings.TrimSpace(get("value")),
		Outcome: get("outcome"), Reason: get("reason"), Note: get("note"), EvenSo: get("even-so") == "yes",
	}
	a := b.once(get("number"), e)
	if a.Done != "" {
		e.Value, e.Reason, e.Note, e.Outcome = "", "", "", ""
	}
	b.page(w, e, a)
}
