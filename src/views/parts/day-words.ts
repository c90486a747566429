const DAY = new Intl.DateTimeFormat('en-GB', { weekday: 'short', day: 'numeric', month: 'short', timeZone: 'UTC' });
const DAY_AND_YEAR = new Intl.DateTimeFormat('en-GB', { weekday: 'short', day: 'numeric', month: 'short', year: 'numeric', timeZone: 'UTC' });

/** A calendar day (yyyy-mm-dd) as "Tue, 3 Mar", with the year when it is not the year given. */
export function dayWords(day: string, year = new Date().getFullYear()): string {
  const date = new Date(`${day}T00:00:00Z`);
  return (day.startsWith(String(year)) ? DAY : DAY_AND_YEAR).format(date);
}
