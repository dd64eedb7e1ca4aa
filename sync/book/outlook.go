package book

import (
	"time"

	"ampwright/model"
	"ampwright/model/ahead"

	"github.com/google/uuid"
)

// An outlook is the forecast of a build as it stood.
type outlook struct {
	of      *model.Build
	outlook *ahead.Outlook
}

// Outlook returns the forecast of a build as it stands now. It is worked out
// anew only when something has changed that a forecast rests on.
func (b *Book) Outlook(id uuid.UUID) (*ahead.Outlook, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	build, err := b.build(id)
	if err != nil {
		return nil, err
	}
	o, ok := b.outlooks[id]
	if !ok || o.of != build {
		past, err := b.past(id)
		if err != nil {
			return nil, err
		}
		o = outlook{build, ahead.Again(o.outlook, build, past)}
		b.outlooks[id] = o
	}
	return o.outlook, nil
}

// Weeks returns how the forecast of a build was seen week by week, up to now.
func (b *Book) Weeks(id uuid.UUID) ([]ahead.Week, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	past, err := b.past(id)
	if err != nil {
		return nil, err
	}
	return ahead.Weeks(b.fold, id, b.cfg.Now(), b.cfg.Plans, past)
}

// past returns the garage's finished builds but for one.
func (b *Book) past(but uuid.UUID) ([]*model.Build, error) {
	var builds []*model.Build
	for _, id := range b.fold.BuildIDs() {
		if id == but {
			continue
		}
		build, err := b.build(id)
		if err != nil {
			return nil, err
		}
		builds = append(builds, build)
	}
	return ahead.Past(builds), nil
}

// moveTrials are fewer than [ahead.Trials]: a dozen forecasts are made for one
// answer.
const moveTrials = 500

// Moved returns why the forecast of a build moved since a moment. The error is
// [model.ErrNoBuild] if the build was not known then.
func (b *Book) Moved(id uuid.UUID, since time.Time) (ahead.Change, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	now, err := b.build(id)
	if err != nil {
		return ahead.Change{}, err
	}
	then, err := ahead.AsOf(b.fold, id, since, b.cfg.Plans)
	if err != nil {
		return ahead.Change{}, err
	}
	past, err := b.past(id)
	if err != nil {
		return ahead.Change{}, err
	}
	return ahead.Moved(then, now, past, moveTrials), nil
}
