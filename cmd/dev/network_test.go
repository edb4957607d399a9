package main

import "testing"

func TestOutside(t *testing.T) {
	for _, c := range []struct {
		name, line string
		bad        bool
		calls      int
	}{
		{"the display", `812   connect(7, {sa_family=AF_UNIX, sun_path=@"/tmp/.X11-unix/X99"}, 20) = 0`, false, 1},
		{"the message bus", `connect(9, {sa_family=AF_UNIX, sun_path="/run/user/1000/bus"}, 110) = -1 ENOENT (No such file or directory)`, false, 1},
		{"another local socket", `connect(9, {sa_family=AF_UNIX, sun_path="/run/some.sock"}, 110) = 0`, true, 1},
		{"a web server", `[pid   812] connect(3, {sa_family=AF_INET, sin_port=htons(443), sin_addr=inet_addr("192.0.2.1")}, 16) = -1 EINPROGRESS (Operation now in progress)`, true, 1},
		{"the same by version 6", `812 connect(3, {sa_family=AF_INET6, sin6_port=htons(443), sin6_flowinfo=htonl(0)}, 28) = 0`, true, 1},
		{"a name server", `812 sendto(3, "\1\0"..., 44, MSG_NOSIGNAL, {sa_family=AF_INET, sin_port=htons(53), sin_addr=inet_addr("192.0.2.53")}, 16) = 44`, true, 1},
		{"data on a connected socket", `812 sendto(7, "abc", 3, 0, NULL, 0) = 3`, false, 1},
		{"a socket for the network", `812 socket(AF_INET, SOCK_STREAM|SOCK_CLOEXEC, IPPROTO_IP) = 3`, true, 1},
		{"a socket for the kernel's routes", `812 socket(AF_NETLINK, SOCK_RAW|SOCK_CLOEXEC, NETLINK_ROUTE) = 3`, true, 1},
		{"a bus daemon's audit", `812 socket(AF_NETLINK, SOCK_RAW, NETLINK_AUDIT) = 3`, false, 1},
		{"a local socket", `812 socket(AF_UNIX, SOCK_STREAM|SOCK_CLOEXEC, 0) = 3`, false, 1},
		{"the end", `812 +++ exited with 0 +++`, false, 0},
		{"a cut call", `812 connect(3,  <unfinished ...>`, true, 1},
		{"its rest", `812 <... connect resumed>) = 0`, false, 0},
	} {
		bad, calls := outside(c.line + "\n")
		if (len(bad) > 0) != c.bad || calls != c.calls {
			t.Errorf("%s: %d of %d calls go outside: %s", c.name, len(bad), calls, c.line)
		}
	}
}
