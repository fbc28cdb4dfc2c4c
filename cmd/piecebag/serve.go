package main

import (
	"fmt"
	"net"
	"os"
	"os/exec"
	"runtime"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/files"
	"piecebag/internal/page"
	"piecebag/samples"
)

// anyAddress is --phone without an address.
const anyAddress = "any"

func newServe(l *line) *cobra.Command {
	var port int
	var phone string
	var stay bool
	cmd := &cobra.Command{
		Use:   "serve",
		Short: "Open the local page: the same work in a browser on this machine",
		Long: `Serve answers at an address of this machine alone, which it writes, and opens it in
your browser where there is a desktop. The address holds a key, so that nobody else who
uses this machine comes in. Photos stay on this machine, and no other host is asked for
anything. Ctrl-C ends it. One stash is served by one piecebag at a time; a second says where
the first answers.

--phone lets your phone in too, over your home network: open the address that it writes,
or point the camera at the picture, and type the code. A code has six digits and holds
for five minutes and for one phone; after five wrong ones a new one is needed, which the
page "Phone" makes. What goes between the phone and this machine is not encrypted:
somebody who listens in on your network could see your photos and your shelf as they
pass, and could get in as your phone. At home that is you and your guests; do not do it
in a café or a hotel. Without --phone nothing but this machine is answered.`,
		Example: `  piecebag serve
  piecebag serve --phone
  piecebag serve --phone=192.168.1.5 --port 8123`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			at, err := listenAt("127.0.0.1", port)
			if err != nil {
				return err
			}
			listeners := []net.Listener{at}
			defer func() {
				for _, other := range listeners {
					other.Close() // where the server did not come to it
				}
			}()
			if phone != "" {
				more, err := listenAtHome(phone, at.Addr().(*net.TCPAddr).Port)
				listeners = append(listeners, more...)
				if err != nil {
					return err
				}
			}
			return l.at("working", func(d *desk.Desk) error {
				s, err := page.New(d)
				if err != nil {
					return err
				}
				s.LogTo(l.err)
				s.Lend(page.Loan{Whose: samples.Whose, Photos: samples.Photos, As: samples.Stow, Floor: samples.Floor})
				defer s.Close() // where it does not come to serving
				address, err := s.Announce(at.Addr())
				if err != nil {
					return err
				}
				if _, err := fmt.Fprintf(l.out, "open %s\n", address); err != nil {
					return answered(err)
				}
				for _, home := range listeners[1:] {
					if err := l.invitePhone(s.LetPhonesIn(home.Addr())); err != nil {
						return answered(err)
					}
				}
				if !stay {
					openBrowser(s.OnceAddress(at.Addr()))
				}
				return s.Serve(cmd.Context(), listeners...)
			})
		},
	}
	fl := cmd.Flags()
	fl.IntVar(&port, "port", 0, "the `PORT` to answer at; 0: any that is free")
	fl.StringVar(&phone, "phone", "", "answer phones of the home network too, at this `ADDRESS` of this machine or at all that it has there")
	fl.Lookup("phone").NoOptDefVal = anyAddress
	fl.BoolVar(&stay, "no-browser", false, "do not open the browser")
	return cmd
}

func listenAt(host string, port int) (net.Listener, error) {
	at, err := net.Listen("tcp", net.JoinHostPort(host, strconv.Itoa(port)))
	if err != nil {
		return nil, fault.New("port "+strconv.Itoa(port), "it cannot be listened at: "+files.Bare(err).Error(), "give another with --port, or none", err)
	}
	return at, nil
}

// listenAtHome listens where phones come to, at an address or all of the home network.
// What was opened before an error is given too.
func listenAtHome(phone string, port int) (out []net.Listener, err error) {
	addresses := []string{phone}
	if phone == anyAddress {
		if addresses, err = page.HomeAddresses(); err != nil {
			return nil, err
		}
		if len(addresses) == 0 {
			return nil, fault.New("--phone", "this machine has no address on a home network", "join one, or name an address of this machine, like --phone=192.168.1.5", nil)
		}
	}
	for _, a := range addresses {
		if ip := net.ParseIP(a); ip == nil || ip.IsUnspecified() {
			return out, wrong("phone", a, "this is not one address of this machine", "write it like --phone=192.168.1.5")
		}
		at, err := net.Listen("tcp", net.JoinHostPort(a, strconv.Itoa(port)))
		if err != nil {
			return out, fault.New(a, "it cannot be listened at: "+files.Bare(err).Error(), "name an address that this machine has, or none", err)
		}
		out = append(out, at)
	}
	return out, nil
}

// invitePhone writes where a phone goes, with a picture for its camera on a terminal.
func (l *line) invitePhone(address, code string) error {
	var b strings.Builder
	fmt.Fprintf(&b, "on your phone open %s and type %s\n", address, code)
	if l.width() > 0 {
		drawn, err := page.QR(address)
		if err != nil {
			return err
		}
		b.WriteString(drawn)
	}
	_, err := l.out.Write([]byte(b.String()))
	return err
}

// openBrowser opens an address in your browser where there is a desktop; where it does
// not come to that, you have the address.
func openBrowser(address string) {
	open := opener(runtime.GOOS, os.Getenv)
	if open == nil {
		return
	}
	cmd := exec.Command(open[0], append(open[1:], address)...) //nolint:gosec // our own address
	if cmd.Start() == nil {
		go func() { _ = cmd.Wait() }()
	}
}

// opener returns the command of a system that opens an address; nil where there is no desktop.
func opener(system string, variable func(string) string) []string {
	switch {
	case system == "darwin":
		return []string{"open"}
	case system == "windows":
		return []string{"rundll32", "url.dll,FileProtocolHandler"}
	case variable("DISPLAY") == "" && variable("WAYLAND_DISPLAY") == "":
		return nil
	}
	return []string{"xdg-open"}
}
