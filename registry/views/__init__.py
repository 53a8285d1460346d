"""What each page fetches and does: fetch, form, act, redirect."""
