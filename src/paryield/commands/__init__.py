"""The commands: parse, call, print. Each is a thin layer over one public function; cli.py runs them."""
