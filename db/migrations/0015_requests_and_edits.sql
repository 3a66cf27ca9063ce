-- Limits of requests, shared by processes; and what people may correct of what they brought in.

-- What a key used of its limit in the window of time that runs now: one row a key. Unlogged: after
-- a crash everybody begins anew.
create unlogged table liftwright.request_use (
  fleet_id    int not null,
  key_id      uuid not null,
  window_no   bigint not null,
  used        bigint not null check (used >= 0),
  primary key (fleet_id, key_id)
) with (fillfactor = 50);
select liftwright.guard('liftwright.request_use');
grant select, insert on liftwright.request_use to lw_app;
grant update (window_no, used) on liftwright.request_use to lw_app;

-- Notes `p_used` requests of a key that a process let through, and lends it up to `p_want` more of
-- `p_most`: of the last ones fewer and fewer, so that no process sits on what others need. Answers
-- what was lent, 0 when there is nothing left, and what is used and lent in all. A process whose
-- clock is a window behind counts in the window of the others.
create function liftwright.lend_requests(
    p_fleet int, p_key uuid, p_window bigint, p_used bigint, p_want bigint, p_most bigint)
  returns table (lent bigint, used_in_all bigint)
  language plpgsql
  set search_path = liftwright, pg_temp
  as $$
  declare
    there liftwright.request_use;
    base bigint;
  begin
    insert into liftwright.request_use values (p_fleet, p_key, p_window, 0)
      on conflict (fleet_id, key_id) do nothing;
    select * into there from liftwright.request_use r
      where r.fleet_id = p_fleet and r.key_id = p_key for update;
    if there.window_no not in (p_window, p_window + 1) then
      there.window_no := p_window;
      there.used := 0;
    end if;
    base := there.used + p_used;
    lent := case when base >= p_most then 0
      else least(p_want, greatest(1, (p_most - base) / 4)) end;
    used_in_all := base + lent;
    update liftwright.request_use r set window_no = there.window_no, used = used_in_all
      where r.fleet_id = p_fleet and r.key_id = p_key;
    return next;
  end
  $$;
revoke all on function liftwright.lend_requests(int, uuid, bigint, bigint, bigint, bigint)
  from public;
grant execute on function liftwright.lend_requests(int, uuid, bigint, bigint, bigint, bigint)
  to lw_app;

alter table liftwright.asset add column note text check (length(note) <= 2000);
grant update (number) on liftwright.unit to lw_app;
grant update (serial, note) on liftwright.asset to lw_app;
grant update (serial) on liftwright.gateway to lw_app;
