package preview

import (
	"context"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/fsnotify/fsnotify"
)

// quiet is how long the folder must be still before a build: an editor writes
// a file in several steps.
const quiet = 40 * time.Millisecond

// Watch calls changed after every change below dir, once things are still,
// until the context ends. Hidden files and folders are passed over. ready, when
// not nil, is closed once the watch is set.
func Watch(ctx context.Context, dir string, ready chan<- struct{}, changed func()) error {
	w, err := fsnotify.NewWatcher()
	if err != nil {
		return fmt.Errorf("watching the folder: %w", err)
	}
	defer w.Close()
	add := func(root string) error {
		return filepath.WalkDir(root, func(name string, d fs.DirEntry, err error) error {
			if err != nil {
				if os.IsNotExist(err) {
					return nil // gone while we looked
				}
				return err
			}
			if !d.IsDir() {
				return nil
			}
			if name != dir && strings.HasPrefix(d.Name(), ".") {
				return filepath.SkipDir
			}
			return w.Add(name)
		})
	}
	if err := add(dir); err != nil {
		return fmt.Errorf("watching the folder: %w", err)
	}
	if ready != nil {
		close(ready)
	}
	timer := time.NewTimer(time.Hour)
	timer.Stop()
	for {
		select {
		case <-ctx.Done():
			return nil
		case err, ok := <-w.Errors:
			if !ok {
				return nil
			}
			return fmt.Errorf("watching the folder: %w", err)
		case e, ok := <-w.Events:
			if !ok {
				return nil
			}
			if strings.HasPrefix(filepath.Base(e.Name), ".") || e.Op == fsnotify.Chmod {
				continue
			}
			if e.Has(fsnotify.Create) {
				if info, err := os.Stat(e.Name); err == nil && info.IsDir() {
					if err := add(e.Name); err != nil {
						return fmt.Errorf("watching %s: %w", e.Name, err)
					}
				}
			}
			timer.Reset(quiet)
		case <-timer.C:
			changed()
		}
	}
}
