package pair

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"net/netip"
	"slices"
	"strconv"
	"sync"
	"time"

	"github.com/google/uuid"
)

// UsualPort is that of https on the local network, if it is free when a garage
// first adds a phone.
const UsualPort = 7342

// setupTime is how long the page on plain http stands after a window was opened.
const setupTime = 30 * time.Minute

// Config is what a Desk needs. Zero fields take the default named.
type Config struct {
	Dir string // the garage's folder; required

	// Handler returns what serves phones at a place, and what to close when it no
	// longer does; required.
	Handler func(Place) (http.Handler, io.Closer, error)

	// Invite opens an invitation for a phone's logbook; required.
	Invite func() string

	Person string // who keeps the garage: what a phone's person is called if nobody says otherwise

	// Called returns what the device with that replica is called now; default what
	// the phone called itself.
	Called func(uuid.UUID) string

	// State returns the state of the laptop's logbook in the words of a phone's page;
	// default none is shown.
	State func() string

	// Log hears of windows, phones and refusals, by their ids and fixed words alone: no
	// token, no secret, no name that somebody typed. Default nobody.
	Log *slog.Logger

	Now       func() time.Time                                                  // default time.Now: certificates go by the true time
	Host      string                                                            // the IPv4 address to listen on; default all
	Addresses func() []netip.Addr                                               // this computer's private ones; default as the system says
	Announce  func(name string, own func() []netip.Addr) (stop func(), e error) // default multicast DNS
}

// A Place is where phones find the garage.
type Place struct {
	Hosts   []string // names with the port: what a request's Host must be
	Origins []string // of the pages that come from there
}

// A Desk adds phones to a garage and serves those that are paired. Close it
// before the logbook is closed. It is safe for concurrent use.
type Desk struct {
	cfg    Config
	phones *Phones
	window Window

	mu        sync.Mutex
	authority *Authority // nil until a person asks for a phone
	lan       *lan       // nil while nothing listens
	setup     *http.Server
	setupAt   string // its address, without a host
	setupOver *time.Timer
	closed    bool
}

// A lan is what listens on the local network.
type lan struct {
	server *http.Server
	links  io.Closer
	quiet  func() // ends the announcement
	mute   error  // why there is none
}

// Open returns the desk of a garage. It listens nowhere.
func Open(cfg Config) (*Desk, error) {
	if cfg.Now == nil {
		cfg.Now = time.Now
	}
	if cfg.Addresses == nil {
		cfg.Addresses = Addresses
	}
	if cfg.Announce == nil {
		cfg.Announce = Announce
	}
	if cfg.Log == nil {
		cfg.Log = slog.New(slog.DiscardHandler)
	}
	d := &Desk{cfg: cfg}
	var err error
	if d.phones, err = ReadPhones(cfg.Dir); err != nil {
		return nil, err
	}
	if d.authority, err = ReadAuthority(cfg.Dir); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	return d, nil
}

// Phones returns the list.
func (d *Desk) Phones() *Phones { return d.phones }

// ByAddress reports whether phones find the garage by address, too.
func (d *Desk) ByAddress() bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.authority != nil && d.authority.Addresses
}

// Resume listens for the phones that are paired, if there are any, and for other
// laptops, if that was asked for.
func (d *Desk) Resume() error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.authority == nil || !d.wanted() {
		return nil
	}
	return d.listen()
}

// Add listens on the local network and opens a window for one phone. A choice of
// addresses other than before takes a new authority, which every phone must be
// told to trust.
func (d *Desk) Add(addresses bool) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if err := d.choose(addresses); err != nil {
		return err
	}
	if err := d.listen(); err != nil {
		return err
	}
	if err := d.openSetup(); err != nil {
		return errors.Join(err, d.settle())
	}
	d.window.Open(d.cfg.Now())
	d.cfg.Log.Info("window opened for a phone", "port", d.authority.Port, "by address", d.authority.Addresses)
	return nil
}

// choose makes an authority where there is none of the kind wanted. The caller
// holds the lock.
func (d *Desk) choose(addresses bool) error {
	old := d.authority
	if old != nil && old.Addresses == addresses {
		return nil
	}
	if addresses && len(d.cfg.Addresses()) == 0 {
		return errors.New("this computer has no private IPv4 address now: connect it to the network, or go by name")
	}
	name, port, laptops := "", 0, false
	if old != nil {
		name, port, laptops = old.Name, old.Port, old.Laptops
	}
	a, err := NewAuthority(name, addresses, d.cfg.Now())
	if err != nil {
		return err
	}
	a.Port, a.Laptops = port, laptops
	if err := errors.Join(d.hush(), a.Write(d.cfg.Dir)); err != nil {
		return err
	}
	d.authority = a
	return nil
}

// listen serves phones. The caller holds the lock.
func (d *Desk) listen() error {
	if d.closed {
		return errors.New("the server ends")
	}
	if d.lan != nil {
		return nil
	}
	a := d.authority
	l, err := d.port(a.Port)
	if err != nil {
		return err
	}
	if port := l.Addr().(*net.TCPAddr).Port; a.Port != port {
		a.Port = port
		if err := a.Write(d.cfg.Dir); err != nil {
			return errors.Join(err, l.Close())
		}
	}
	own := d.cfg.Addresses()
	h, links, err := d.cfg.Handler(place(a, own))
	if err != nil {
		return errors.Join(err, l.Close())
	}
	d.lan = &lan{server: server(h), links: links}
	go d.lan.server.Serve(tlsListener(newFence(l), a.TLS(d.cfg.Now, own))) // its end is ours: Close
	d.lan.quiet, d.lan.mute = d.cfg.Announce(a.Name, d.cfg.Addresses)
	return nil
}

// port listens on the port a garage has, or on one that is free if it has none.
func (d *Desk) port(port int) (net.Listener, error) {
	at := func(port int) string { return net.JoinHostPort(d.cfg.Host, strconv.Itoa(port)) }
	if port != 0 {
		l, err := net.Listen("tcp4", at(port))
		if err != nil {
			return nil, fmt.Errorf("phones expect this garage at port %d: %w; close what has the port", port, err)
		}
		return l, nil
	}
	if l, err := net.Listen("tcp4", at(UsualPort)); err == nil {
		return l, nil
	}
	return net.Listen("tcp4", at(0))
}

// place says where phones find the garage.
func place(a *Authority, own []netip.Addr) (p Place) {
	names := []string{a.Name}
	if a.Addresses {
		for _, ip := range own {
			names = append(names, ip.String())
		}
	}
	for _, n := range names {
		host := net.JoinHostPort(n, strconv.Itoa(a.Port))
		p.Hosts, p.Origins = append(p.Hosts, host), append(p.Origins, "https://"+host)
	}
	return p
}

// openSetup serves the page on plain http for a while. The caller holds the lock.
func (d *Desk) openSetup() error {
	if d.setup != nil {
		d.setupOver.Reset(setupTime)
		return nil
	}
	l, err := net.Listen("tcp4", net.JoinHostPort(d.cfg.Host, strconv.Itoa(d.authority.Port+1)))
	if err != nil {
		if l, err = net.Listen("tcp4", net.JoinHostPort(d.cfg.Host, "0")); err != nil {
			return err
		}
	}
	d.setupAt = strconv.Itoa(l.Addr().(*net.TCPAddr).Port)
	d.setup = server(d.setupPage(d.authority, d.setupAt))
	d.setupOver = time.AfterFunc(setupTime, func() { d.Stop() })
	go d.setup.Serve(newFence(l))
	return nil
}

// Stop ends the adding of a phone, and listens no more if none is paired.
func (d *Desk) Stop() error {
	d.window.Shut()
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.settle()
}

// settle closes what nobody needs. The caller holds the lock.
func (d *Desk) settle() error {
	var err error
	if d.setup != nil {
		d.setupOver.Stop()
		err = d.setup.Close()
		d.setup = nil
	}
	if !d.wanted() {
		err = errors.Join(err, d.hush())
	}
	return err
}

// hush closes everything on the local network. The caller holds the lock.
func (d *Desk) hush() error {
	var err error
	if d.setup != nil {
		d.setupOver.Stop()
		err = d.setup.Close()
		d.setup = nil
	}
	if d.lan == nil {
		return err
	}
	if d.lan.quiet != nil {
		d.lan.quiet()
	}
	err = errors.Join(err, d.lan.server.Close(), d.lan.links.Close())
	d.lan = nil
	return err
}

// Drop takes a phone off the list.
func (d *Desk) Drop(id string) error {
	_, err := d.phones.Drop(d.noting("taken off here", func(p Phone) bool { return p.ID == id }))
	return d.dropped(err)
}

// StruckOff takes the phones off the list whose replica is off the garage's.
func (d *Desk) StruckOff(off func(uuid.UUID) bool) (int, error) {
	n, err := d.phones.Drop(d.noting("struck off the garage's list", func(p Phone) bool { return p.Replica != uuid.Nil && off(p.Replica) }))
	if n == 0 {
		return 0, err
	}
	return n, d.dropped(err)
}

// noting logs the phones that lose their tokens.
func (d *Desk) noting(why string, gone func(Phone) bool) func(Phone) bool {
	return func(p Phone) bool {
		if !gone(p) {
			return false
		}
		d.cfg.Log.Info("phone lost its token", "phone", p.ID, "why", why)
		return true
	}
}

func (d *Desk) dropped(err error) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.setup != nil { // a phone is being added
		return err
	}
	return errors.Join(err, d.settle())
}

// Close ends everything.
func (d *Desk) Close() error {
	d.window.Shut()
	d.mu.Lock()
	defer d.mu.Unlock()
	d.closed = true
	return d.hush()
}

// Addresses returns this computer's private IPv4 addresses (RFC 1918).
func Addresses() (list []netip.Addr) {
	all, err := net.InterfaceAddrs()
	if err != nil {
		return nil
	}
	for _, a := range all {
		p, err := netip.ParsePrefix(a.String())
		if err == nil && p.Addr().Is4() && p.Addr().IsPrivate() {
			list = append(list, p.Addr())
		}
	}
	slices.SortFunc(list, netip.Addr.Compare)
	return slices.Compact(list)
}

type phoneKey struct{}

// From returns the phone that a request has come from, behind [Desk.Gate].
func From(ctx context.Context) (Phone, bool) {
	p, ok := ctx.Value(phoneKey{}).(Phone)
	return p, ok
}
