"""Lays out one graph in a process of its own: DOT on standard input, JSON on standard output.

Graphviz is not re-entrant, holds Python's lock while it works, and ends the whole process where
it gives up; here none of that touches the site. Run as a file, never imported.
"""

import sys

MEMORY = 2 * 1024**3
SECONDS = 60


def bound():
    """Bound the memory and the processor time of this process where the system can."""
    try:
        import resource
    except ImportError:
        return
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))


def main():
    """Read the graph, let the Graphviz inside pygraphviz place it, write the places."""
    bound()
    import pygraphviz

    graph = pygraphviz.AGraph(string=sys.stdin.buffer.read().decode())
    sys.stdout.buffer.write(graph.draw(format="json0", prog="dot"))


if __name__ == "__main__":
    main()
