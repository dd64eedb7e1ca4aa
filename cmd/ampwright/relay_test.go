package main

import (
	"fmt"
	"io"
	"net"
	"os"
	"time"

	"ampwright/server/socket/proxytest"
)

// relay passes connections on: it stands for a network that forwards to a server
// which listens on its own computer alone.
func relay() {
	l, err := net.Listen("tcp", os.Args[1])
	if err != nil {
		panic(err)
	}
	fmt.Println(l.Addr())
	proxytest.Serve(l, func(in net.Conn) {
		defer in.Close()
		out, err := net.DialTimeout("tcp", os.Args[2], time.Second)
		if err != nil {
			return
		}
		defer out.Close()
		go func() { io.Copy(out, in); out.Close() }()
		io.Copy(in, out)
	})
}
