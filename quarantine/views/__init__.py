"""What each quarantine page fetches and does: fetch, form, act, redirect."""
