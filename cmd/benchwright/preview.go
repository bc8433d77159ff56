package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"os/signal"
	"slices"
	"strings"
	"syscall"
	"time"

	"github.com/spf13/cobra"

	"benchwright/edition"
	"benchwright/preview"
	"benchwright/project"
	"benchwright/record"
	"benchwright/themes"
)

func previewCommand(t *terminal) *cobra.Command {
	var address, theme string
	var withBench bool
	c := &cobra.Command{
		Use:   "preview [FOLDER]",
		Short: "Serve the site while you edit",
		Long: `Preview serves the site on this machine alone, builds it again whenever a file
of the folder is saved, and has open pages load again. What is wrong is shown in
the page and here; the last good site stays until it is mended.

With --bench it also offers a form for readings, for a phone at the bench. Every
device needs a code, which is shown here and works once. To let another device
in at all, name an address of this machine with --address.`,
		Example: `  benchwright preview my-report
  benchwright preview my-report --bench --address 192.0.2.7:8047`,
		Args: folderArg,
		RunE: func(c *cobra.Command, args []string) error {
			if theme != "" {
				if err := oneOf("theme", theme, themes.Names()...); err != nil {
					return err
				}
			}
			s, err := openFolder(args, false)
			if err != nil {
				return err
			}
			defer s.Close()
			ctx, stop := signal.NotifyContext(c.Context(), os.Interrupt, syscall.SIGTERM)
			defer stop()
			return servePreview(ctx, t, s, address, theme, withBench)
		},
	}
	c.Flags().StringVar(&address, "address", "127.0.0.1:0", "`HOST:PORT` to serve on; port 0 takes a free one")
	c.Flags().BoolVar(&withBench, "bench", false, "offer a form for readings, behind a code")
	c.Flags().StringVar(&theme, "theme", "", "one of the built-in themes")
	return c
}

func servePreview(ctx context.Context, t *terminal, s *source, address, theme string, withBench bool) error {
	host, _, err := net.SplitHostPort(address)
	if err != nil {
		return hint(fmt.Errorf("--address %q is not HOST:PORT", address), "for example --address 127.0.0.1:8047")
	}
	if ip := net.ParseIP(host); host == "" || ip != nil && ip.IsUnspecified() {
		return hint(fmt.Errorf("--address %q would serve on every network that this machine is on", address), "name one address of this machine")
	}
	server := preview.New(func() (preview.Built, error) {
		e := edition.OpenToReport(s.FS)
		built := preview.Built{Findings: e.Findings}
		if e.Unusable() {
			return built, nil
		}
		p, err := e.Publish(edition.PublishOptions{Theme: theme, Version: version()})
		if err != nil {
			return built, err
		}
		built.Files = p.Files
		return built, nil
	})
	server.Allow(host)
	if withBench {
		server.Bench(benchRecorder(s), func(code string) {
			t.say("benchwright: code for the next device: %s", code)
		})
	}
	rebuild := func() {
		started := time.Now()
		state, changed := server.Rebuild()
		switch {
		case state.Fault != "":
			t.say("benchwright: error: %s", state.Fault)
		case state.Broken:
			for _, f := range state.Findings {
				printFinding(t, f)
			}
			t.say("benchwright: %s", whatIsServed(state))
		default:
			t.say("benchwright: built in %d ms, %s changed, %s", time.Since(started).Milliseconds(), plural(changed, "file"), plural(len(state.Findings), "finding"))
		}
	}
	listener, err := net.Listen("tcp", address)
	if err != nil {
		return hint(fmt.Errorf("serving on %s: %w", address, cause(err)), "name another port, or 0 for a free one")
	}
	rebuild()
	fmt.Fprintf(t.out, "http://%s/\n", listener.Addr())
	if withBench {
		fmt.Fprintf(t.out, "http://%s/-/bench\n", listener.Addr())
	}
	t.say("benchwright: Ctrl-C ends it")
	web := &http.Server{Handler: server.Handler(), ReadHeaderTimeout: 10 * time.Second, BaseContext: func(net.Listener) context.Context { return ctx }}
	ended := make(chan error, 2)
	go func() { ended <- web.Serve(listener) }()
	go func() { ended <- preview.Watch(ctx, s.name, nil, rebuild) }()
	select {
	case <-ctx.Done():
		err = nil
	case err = <-ended:
	}
	quick, cancel := context.WithTimeout(context.Background(), time.Second)
	defer cancel()
	_ = web.Shutdown(quick) // open event streams end with the context
	if errors.Is(err, http.ErrServerClosed) {
		err = nil
	}
	return err
}

// benchRecorder lets the form record readings in the folder.
func benchRecorder(s *source) preview.Recorder {
	load := func() (*project.Project, error) {
		e := edition.Open(s.FS)
		if e.Unusable() {
			return nil, errors.New("the folder has errors; mend them first")
		}
		return e.Project, nil
	}
	return preview.Recorder{
		Form: func() (preview.Form, error) {
			p, err := load()
			if err != nil {
				return preview.Form{}, err
			}
			var f preview.Form
			for _, c := range p.Configurations {
				f.Configurations = append(f.Configurations, preview.Choice{ID: c.ID, Label: c.Label})
			}
			for _, w := range p.Workloads {
				if w.Derived == nil {
					label := w.Label
					if w.Unit.Symbol != "" {
						label += " (" + w.Unit.Symbol + ")"
					}
					f.Workloads = append(f.Workloads, preview.Choice{ID: w.ID, Label: label})
				}
			}
			for _, x := range p.Sessions {
				f.Sessions = append(f.Sessions, preview.Choice{ID: x.ID, Label: x.ID})
			}
			slices.Reverse(f.Sessions) // the latest is the likeliest
			f.Outcomes = project.OutcomeWords()
			return f, nil
		},
		Record: func(e preview.Entry) preview.Answer { return recordEntry(s, load, e) },
	}
}

// recordEntry writes an entry of the form into the folder, or asks about it.
func recordEntry(s *source, load func() (*project.Project, error), e preview.Entry) preview.Answer {
	p, err := load()
	if err != nil {
		return preview.Answer{Faults: []string{err.Error()}}
	}
	for tries := 0; ; tries++ {
		answer, err := tryEntry(s, p, e)
		switch {
		case err == nil:
			return answer
		case errors.Is(err, record.ErrChanged) && tries < mostTries: // another device was quicker
		default:
			return preview.Answer{Faults: []string{formFault(err)}}
		}
	}
}

// formFault says why nothing was written, and what to try.
func formFault(err error) string {
	err = recordFault(err)
	text := err.Error()
	var h *hinted
	if errors.As(err, &h) {
		text += "; " + strings.Join(h.hints, "; ")
	}
	return text
}

// tryEntry prepares an entry and writes it; the error is that of writing.
func tryEntry(s *source, p *project.Project, e preview.Entry) (preview.Answer, error) {
	readings := []record.Reading{{Configuration: e.Configuration, Workload: e.Workload, Session: e.Session, Value: e.Value, Outcome: e.Outcome, Reason: e.Reason, Note: e.Note}}
	// It asks itself, in words for a form: a refusal would speak of flags.
	a, bad := record.Prepare(s.FS, readings, record.Options{Source: "preview form", When: time.Now().UTC().Format(time.RFC3339), EvenSo: true})
	if len(bad) > 0 {
		var faults []string
		for _, f := range bad {
			text := f.Message
			if f.Remedy != "" {
				text += "; " + f.Remedy
			}
			faults = append(faults, text)
		}
		return preview.Answer{Faults: faults}, nil
	}
	if len(a.Doubts) > 0 && !e.EvenSo {
		d, given := a.Doubts[0], a.Added[0] // with its unit apart
		w := p.Workload(given.Workload)
		text := "Is that right? " + strings.Replace(d.Words(w, given), "expected", "Expected", 1)
		if better, ok := d.Better(w, given); ok {
			text += "; is it " + better + "?"
		}
		return preview.Answer{Doubt: text}, nil
	}
	if err := a.Write(s.root); err != nil {
		return preview.Answer{}, err
	}
	done := fmt.Sprintf("Written to %s: %s, %s, repeat %d.", a.Files[0], e.Configuration, e.Workload, a.Added[0].Repeat)
	if said := a.Added[0].ReadAs(); said != "" {
		done += " " + said + "."
	}
	return preview.Answer{Done: done}, nil
}

// whatIsServed says what a folder that cannot be published leaves on the pages.
func whatIsServed(state preview.State) string {
	if state.Edition == 0 {
		return "there is no site to serve yet; it is built as soon as this is mended"
	}
	return "the last good site is still served"
}
