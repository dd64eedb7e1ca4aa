package app

import (
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"ampwright/model"

	"github.com/google/uuid"
)

// names are what the garage's devices are called.
func (a *App) names() map[uuid.UUID]string {
	names := map[uuid.UUID]string{}
	a.book.Read(func(l *model.Logbook) {
		_, devices := l.Garage()
		for _, d := range devices {
			names[d.Replica] = d.Name
		}
	})
	return names
}

// call gives this device another name, and says who writes on it from now on: what
// was written before stays under who wrote it. What is empty stays as it is. The
// name is an entry, which every device gets; the person stands on each entry.
func (a *App) call(name, person string) (done string, err error) {
	name, person = strings.Join(strings.Fields(name), " "), strings.Join(strings.Fields(person), " ")
	if n := utf8.RuneCountInString(person); n > model.MaxName {
		return "", fmt.Errorf("a person's name of %d letters, want at most %d", n, model.MaxName)
	}
	own := a.book.Replica()
	if name != "" && name != a.names()[own] {
		_, err := a.book.Do(uuid.Nil, model.Wish{Name: "name-device", Values: map[string][]string{"device": {own.String()}, "name": {name}}}, "")
		var wrong *model.WishError
		if errors.As(err, &wrong) && len(wrong.Fields) > 0 {
			return "", wrong.Fields[0]
		}
		if err != nil {
			return "", err
		}
		done = "This device is called " + name + " from now on."
	}
	if person != "" && person != a.book.Person() {
		if err := a.cfg.Keep(person); err != nil {
			return "", err
		}
		a.book.writer = person
		done = strings.TrimSpace(done + " What is written here from now on is by " + person + ".")
	}
	if done == "" {
		done = "Nothing was changed."
	}
	return done, nil
}
