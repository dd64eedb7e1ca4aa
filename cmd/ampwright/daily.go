package main

import (
	"context"
	"fmt"
	"path/filepath"
	"sync"
	"time"

	"ampwright/server/garage"
)

// dailyAgain is how often a server looks whether today's backup is there.
const dailyAgain = 10 * time.Minute

// A dailyBackup makes the backups that a garage asks for each day.
type dailyBackup struct {
	mu     sync.Mutex
	failed string // why the last one was not made
}

// run makes backups until stop is called, which waits for one that is being made.
func (b *dailyBackup) run(ctx context.Context, p *program, g *garage.Garage, dir string) (stop func()) {
	ctx, cancel := context.WithCancel(ctx)
	over := make(chan struct{})
	go func() {
		defer close(over)
		for {
			b.once(p, g, dir)
			select {
			case <-time.After(dailyAgain):
			case <-ctx.Done():
				return
			}
		}
	}()
	return func() { cancel(); <-over }
}

// once makes today's backup, if one is asked for and is not there.
func (b *dailyBackup) once(p *program, g *garage.Garage, dir string) {
	d, err := garage.ReadDaily(dir)
	path, made := "", false
	if err == nil && d != (garage.Daily{}) {
		path, made, err = d.Make(g, dir, version())
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	was := b.failed
	b.failed = ""
	if err != nil {
		b.failed = fmt.Sprintf("The daily backup went wrong: %v.", err)
	}
	switch {
	case b.failed != "" && b.failed != was:
		p.talk("note: %s", b.failed)
	case made:
		p.talk("note: today's backup is %s", path)
	}
}

// notes are what every page says of it.
func (b *dailyBackup) notes() []string {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.failed == "" {
		return nil
	}
	return []string{b.failed}
}

// backupInto writes a backup into a folder.
func (p *program) backupInto(folder string, g *garage.Garage, dir string) (path string, err error) {
	path = filepath.Join(folder, "ampwright-"+g.Now().Format("2006-01-02-1504")+".backup")
	_, left, err := garage.Backup(g, dir, path, version())
	for _, id := range left {
		p.talk("note: photo %s does not read and was left out of the backup: fetch it from another device", id)
	}
	return path, err
}

type dailyJSON struct {
	Schema string `json:"schema"`
	Folder string `json:"folder"` // "" for no daily backup
	Keep   int    `json:"keep"`
	File   string `json:"file"` // today's
	Made   bool   `json:"made"` // it was written now
}

// daily asks for a backup each day, and makes today's.
func (p *program) daily(folder string, keep int) error {
	dir, err := p.place()
	if err != nil {
		return err
	}
	h, err := p.enter(false)
	if err != nil {
		return err
	}
	return closing(p.dailyOf(h, dir, folder, keep), h)
}

func (p *program) dailyOf(h garage.Home, dir, folder string, keep int) error {
	body := dailyJSON{Schema: "ampwright/backup-daily/1"}
	if folder == "off" {
		if err := (garage.Daily{}).Write(dir); err != nil {
			return err
		}
		return p.answer(body, func(pg *page) { pg.line("no daily backup is made any more; those that are there stay") })
	}
	folder, err := filepath.Abs(folder)
	if err != nil {
		return err
	}
	d := garage.Daily{Folder: folder, Keep: keep}
	path, made, err := d.Make(h, dir, version())
	if err == nil {
		err = d.Write(dir)
	}
	if err != nil {
		return err
	}
	body.Folder, body.Keep, body.File, body.Made = folder, keep, path, made
	return p.answer(body, func(pg *page) {
		if made {
			pg.line("wrote %s", path)
		} else {
			pg.line("%s is there already", path)
		}
		pg.line("ampwright serve writes one there each day it runs, and keeps the last %d", keep)
	})
}
